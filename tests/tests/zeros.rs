//! Which zero and which tool a program runs with, against what the job says of them.
#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use blockwright_core::control::{CallCount, Control};
use blockwright_core::finding::{Code, Severity};
use blockwright_core::proof::Source;
use blockwright_tests::changed::{found, of_job, of_program};
use blockwright_tests::sample;

/// Three passes with tools 1, 1 and 2, each from G54.
fn puck() -> Source {
    sample("round-puck")
}

/// With this behind the tool change of the finish.
fn with_line(line: &str) -> Source {
    of_program(&puck(), 2, "N30 ", &format!("{line}\r\nN30 "))
}

/// With these places of G54 and G55 in the job's tables.
fn with_table(source: &Source, first: Option<[f64; 3]>, second: Option<[f64; 3]>) -> Source {
    of_job(source, |job| {
        let control = job.control.get_or_insert_with(Control::default);
        (control.work_offsets[0], control.work_offsets[1]) = (first, second);
    })
}

fn severities(source: &Source, code: Code) -> Vec<Severity> {
    found(source, code).iter().map(|finding| finding.severity).collect()
}

#[test]
fn a_zero_that_the_program_sets_itself_is_told() {
    let origin = Some([1.0, 2.0, -3.0]);
    for (line, table, want) in [
        ("G10 L2 P1 X1. Y2. Z-3.", None, vec![Severity::Look]),
        ("G10 L2 P1 X1. Y2. Z-3.", origin, vec![]),
        ("G10 L2 P1 X1.00004", origin, vec![]),
        ("G10 L2 P1 X1.001", origin, vec![Severity::Look]),
        ("G10 L2 P1 Z-3.03", origin, vec![Severity::Look]),
        // G56 is never called.
        ("G10 L2 P3 X5. Y5. Z0.", None, vec![]),
        ("G10 L2 P3 X5. Y5. Z0.", origin, vec![]),
    ] {
        let source = with_table(&with_line(line), table, None);
        assert_eq!(severities(&source, Code::OtherZero), want, "{line} {table:?}");
    }
    let told = found(&with_line("G10 L2 P1 X.05"), Code::OtherZero);
    assert_eq!((told[0].line, told[0].pass), (Some(9), Some(2)), "{told:?}");
}

/// Whether the offset is added or set then differs between controls (common practice, no source).
#[test]
fn a_zero_set_in_g91_is_not_followed() {
    for table in [None, Some([0.0; 3])] {
        let source = with_table(&with_line("G91 G10 L2 P1 X.05\r\nG90"), table, None);
        assert_eq!(severities(&source, Code::UnprovenState), [Severity::Stop]);
    }
}

#[test]
fn passes_from_other_work_offsets_are_held_against_their_zeros() {
    let other = of_program(&puck(), 2, "G54", "G55");
    // Nobody has said where G55 lies, and the job has one zero for both; or another one for this pass.
    assert_eq!(severities(&other, Code::OtherZero), [Severity::Look]);
    let moved = |x: f64| of_job(&other, |job| job.passes[2].zero.origin[0] += x);
    assert_eq!(severities(&moved(0.05), Code::OtherZero), [Severity::Note]);
    // By the table they lie .05 apart; .002 is what touching off may be wrong by.
    for (x, want) in [(0.05, 0), (0.0515, 0), (0.0525, 1), (0.0, 1)] {
        let source = with_table(&moved(x), Some([1.0, 1.0, -1.0]), Some([1.05, 1.0, -1.0]));
        assert_eq!(severities(&source, Code::OtherZero), vec![Severity::Look; want], "{x}");
    }
    // Clamped turned by a quarter, in both passes: the machine's X is the block's Y.
    let turned = of_job(&moved(0.0), |job| {
        for pass in &mut job.passes {
            pass.zero.turn = 90.0;
        }
        job.passes[2].zero.origin[1] += 0.05;
    });
    let source = with_table(&turned, Some([1.0, 1.0, -1.0]), Some([1.05, 1.0, -1.0]));
    assert!(found(&source, Code::OtherZero).is_empty(), "{:?}", found(&source, Code::OtherZero));
}

#[test]
fn a_tool_called_without_a_change_is_told_where_others_change() {
    let without = of_program(&puck(), 2, "T2 M6", "T2");
    let told = found(&without, Code::WrongTool);
    assert_eq!((told.len(), told[0].line, told[0].pass), (1, Some(8), Some(2)), "{told:?}");
    // A shop without a changer writes T alone throughout.
    let all = (0..2).fold(without, |source, pass| of_program(&source, pass, "T1 M6", "T1"));
    assert!(found(&all, Code::WrongTool).is_empty());
    // The tool of the pass before stays in, which is the one.
    assert!(found(&of_program(&puck(), 1, "T1 M6", "T1"), Code::WrongTool).is_empty());
}

#[test]
fn a_last_profile_that_is_held_against_nothing_is_said() {
    let said = |source: &Source| {
        let notes = found(source, Code::NotChecked);
        notes.iter().filter(|note| note.message.contains("has no allowance")).count()
    };
    let without = |passes: &[usize]| {
        of_job(&puck(), |job| passes.iter().for_each(|pass| job.passes[*pass].allowance = None))
    };
    for (passes, want) in [(&[][..], 0), (&[2], 1), (&[0, 1, 2], 1), (&[0], 0), (&[1], 0)] {
        assert_eq!(said(&without(passes)), want, "{passes:?}");
    }
}

#[test]
fn a_call_counted_twice_is_not_followed() {
    let called = |count: CallCount, line: &str| {
        let text =
            "%\r\nO3003\r\nN10 G20 G17 G54 G90 G94 G40 G49 G80\r\nN20 T2 M6\r\nN30 S2800 M3\r\nG0 Z2.\r\n";
        let text = format!("{text}{line}\r\nM30\r\nO8\r\nG0 X-1. Y-1.\r\nM99\r\n%\r\n");
        let mut source = of_job(&puck(), |job| {
            job.control.get_or_insert_with(Control::default).subprograms = Some(count);
        });
        source.programs[2] = text.into_bytes().into();
        found(&source, Code::UnprovenWord).len()
    };
    assert_eq!(called(CallCount::InL, "M98 P8 L2"), 0);
    assert_eq!(called(CallCount::InP, "M98 P20008"), 0);
    assert_eq!(called(CallCount::InP, "M98 P8 L2"), 1);
    assert_eq!(called(CallCount::InP, "M98 P20008 L2"), 1);
}
