//! Findings from the program and the tool alone.

use super::PassCheck;
use crate::finding::{Code, Finding, Severity};
use crate::job::Job;
use crate::program::{Kind, Motion, Settings, ToolCall, advice};
use crate::proof::PassProof;

pub(super) fn findings(check: &PassCheck<'_>) -> Vec<Finding> {
    let mut found = check.proof.program.findings.clone();
    found.extend(advised(check));
    found.extend(wrong_tool(check));
    found.extend(no_tool_call(check));
    found.extend(no_feed(check));
    found.extend(spindle_stopped(check));
    found.extend(goes_down_blind(check));
    found
}

/// A rapid down into the height of the block, before the program has said where X and Y are: the tool stands wherever the
/// operator, or the program before, has left it.
fn goes_down_blind(check: &PassCheck<'_>) -> Option<Finding> {
    let (program, top) = (&check.proof.program, check.job.highest()?);
    let above = check.pass.zero.origin[2];
    let told = |line: u32| {
        let is_told = |code| matches!(code, Code::UnprovenState | Code::SlantingRapid);
        program.findings.iter().any(|finding| finding.line == Some(line) && is_told(finding.code))
    };
    let is_blind = |motion: &&Motion| {
        let low = motion.end_known.axis(2) && motion.end.z + above < top - check.tolerances.touch;
        motion.kind == Kind::Rapid && low && !motion.end_known.plan() && !told(motion.line)
    };
    let motion = program.motions.iter().find(is_blind)?;
    let message = format!(
        "{}: a rapid goes down to Z {}, below the highest of block and clamps, and the program has not said before where X \
         and Y are: what stands there is not checked. State X and Y first, at a safe height.",
        check.title(),
        check.told.fine(motion.end.z),
    );
    Some(Finding::new(Code::UnprovenState, Severity::Stop, message).on_line(motion.line))
}

/// What shops get bitten by, and what the control would refuse.
fn advised(check: &PassCheck<'_>) -> Vec<Finding> {
    let (program, text) = (&check.proof.program, &check.proof.text);
    let control = check.job.control.as_ref();
    let settings = Settings::for_job(check.job.units, control).with_tool(check.pass.tool);
    let rapid = check.job.machine.as_ref().and_then(|machine| machine.rapid);
    let mut found = advice::findings(program, text, &settings, rapid);
    if let Some(motion) = super::speed::faster_than_rapid(check) {
        // told as too fast, with the same advice
        found.retain(|finding| finding.code != Code::OddFeed || finding.line != Some(motion.line));
    }
    if let Some(control) = control {
        found.extend(super::control::findings(text.bytes(), program.number, control));
    }
    found
}

/// A program without a tool call runs with whatever the pass before left in the spindle.
fn no_tool_call(check: &PassCheck<'_>) -> Option<Finding> {
    let before = check.index.checked_sub(1).and_then(|index| check.job.passes.get(index))?;
    let silent = check.proof.program.tools.is_empty() && before.tool != check.pass.tool;
    silent.then(|| {
        let message = format!(
            "{}: the program calls no tool, and the pass before ran with tool {}. Make sure that tool {} \
             ({}) is in the spindle.",
            check.title(),
            before.tool,
            check.pass.tool,
            check.tool.title()
        );
        Finding::new(Code::WrongTool, Severity::Note, message)
    })
}

/// Programs that call their tool by T alone in a job in which others change tools by M6: there T brings nothing into the
/// spindle.
pub(super) fn called_without_change(job: &Job, passes: &[PassProof]) -> Vec<Finding> {
    let Some(changing) = passes.iter().position(|proof| proof.program.changes_tools) else {
        return Vec::new();
    };
    let call = |index: usize| {
        let (pass, program) = (job.passes.get(index)?, &passes[index].program);
        let before = index.checked_sub(1).and_then(|before| job.passes.get(before));
        let stays = before.is_none_or(|before| before.tool != pass.tool);
        let call = program.tools.iter().find(|call| call.number == pass.tool)?;
        (stays && !program.changes_tools).then(|| {
            let message = format!(
                "Pass {}: T{} comes without M6, and pass {} changes its tool with M6: here the tool before may stay in the \
                 spindle. Make sure that tool {} is in it.",
                index + 1,
                call.number,
                changing + 1,
                pass.tool
            );
            Finding::new(Code::WrongTool, Severity::Look, message).on_line(call.line).of_pass(index)
        })
    };
    (0..passes.len()).filter_map(call).collect()
}

fn wrong_tool(check: &PassCheck<'_>) -> Vec<Finding> {
    // T0 empties the spindle, and a tool called after the last motion is for the next program.
    let program = &check.proof.program;
    let other = |call: &&ToolCall| {
        call.number != check.pass.tool && call.number != 0 && call.before < program.motions.len()
    };
    let called = program.tools.iter().filter(other);
    let finding = |call: &ToolCall| {
        let message = format!(
            "{}: the program calls tool {}, the job runs this pass with tool {} ({}). Check which one is in \
             the spindle.",
            check.title(),
            call.number,
            check.pass.tool,
            check.tool.title()
        );
        Finding::new(Code::WrongTool, Severity::Stop, message).on_line(call.line)
    };
    called.map(finding).collect()
}

fn no_feed(check: &PassCheck<'_>) -> Option<Finding> {
    let placed = check.proof.track.placed().iter();
    let without = |motion: &Motion| motion.kind == Kind::Feed && motion.feed <= 0.0;
    let first = placed.map(|placed| placed.motion).find(without)?;
    let message = format!(
        "{}: a feed motion before any feed was set. Controls stop here, or run at the feed of the program before; \
         set F.",
        check.title()
    );
    Some(Finding::new(Code::NoFeed, Severity::Stop, message).on_line(first.line).at(first.start))
}

/// The first feed motion with the spindle stopped: one that takes metal, or any when there is no blank to tell.
fn spindle_stopped(check: &PassCheck<'_>) -> Option<Finding> {
    let placed = check.proof.track.placed();
    let stopped = |index: usize| {
        let motion = &placed[index].motion;
        motion.kind == Kind::Feed && motion.spindle == 0.0
    };
    let index = match &check.proof.removal {
        Some(removal) => removal.taken().iter().map(|taken| taken.motion).find(|index| stopped(*index)),
        None => (0..placed.len()).find(|index| stopped(*index)),
    }?;
    let motion = &placed[index].motion;
    let message = format!(
        "{}: the tool feeds into metal with the spindle stopped. Start it with S and M3 before this line, \
         or confirm that the spindle is running before feeding.",
        check.title()
    );
    Some(Finding::new(Code::SpindleStopped, Severity::Stop, message).on_line(motion.line).at(motion.start))
}
