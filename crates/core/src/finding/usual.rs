//! What each kind of finding means, and what is usually done about it. All of it is common practice, no source.

use super::Code;

/// A kind of finding in words, for people who meet it the first time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Usual {
    /// What it means.
    pub means: &'static str,
    /// What is usually done about it.
    pub done: &'static str,
}

const fn usual(means: &'static str, done: &'static str) -> Usual {
    Usual { means, done }
}

impl Code {
    /// What such a finding means, and what is usually done about it.
    pub const fn usual(self) -> Usual {
        if let Some(usual) = self.of_metal() {
            return usual;
        }
        if let Some(usual) = self.of_machine() {
            return usual;
        }
        if let Some(usual) = self.of_program() {
            return usual;
        }
        self.of_job_or_drawing()
    }

    /// Findings about where metal is cut.
    const fn of_metal(self) -> Option<Usual> {
        Some(match self {
            Self::RapidThroughBlock => usual(
                "A rapid goes through metal that is still there at that moment.",
                "Raise the retract, or go around. Check the order of the passes and the zero.",
            ),
            Self::PlungeOnBlock => usual(
                "The tool comes straight down on metal.",
                "Start beside the blank, ramp in, or drill first; few end mills cut with the middle of their end.",
            ),
            Self::CutsBed => usual(
                "The tool goes below the top of the bed.",
                "Check the Z zero, the thickness of the blank and what it stands on.",
            ),
            Self::NearBed => usual(
                "The tip clears the bed by less than a touch-off may be wrong.",
                "Measure the spacer, touch off with care, or raise the pass.",
            ),
            Self::UnderBlock => usual(
                "The cutter goes below the bottom face and comes in under the block.",
                "Set the block on a spacer that ends farther in, and name the spacer as a clamp area.",
            ),
            Self::PastOutline => usual(
                "A pass cuts inside the scribed line: that metal is gone.",
                "Check tool diameter, compensation side, allowance and zero before anything runs.",
            ),
            Self::CutsFinishedBlock => usual(
                "A pass takes metal that must stand when all is done.",
                "Look at the place on the wall and the plan. If the pass is meant to, say what it does in the job.",
            ),
            Self::TakesLand => usual(
                "An undercut climbs into the land above it.",
                "Touch the cutter off lower, or use a smaller angle or a smaller cutting height.",
            ),
            Self::DoesNotSay => usual(
                "The job does not say what the pass is for, and a result depends on it.",
                "Set 'does' of the pass: profile, undercut, face, edge or inside.",
            ),
            Self::NoContact => usual(
                "The cutter misses the metal along this stretch: nothing is cut.",
                "Where no later pass regains it, shift or rotate the blank (Best fit), or add metal.",
            ),
            Self::LightCut => usual(
                "Less is taken than the limit of the job: the edge may rub and wear instead of cutting.",
                "Often harmless in a short stretch. Take more in this pass, or leave less before it.",
            ),
            Self::HeavyCut => usual(
                "More is taken than the limit of the job.",
                "Slow the feed there, or rough once more before this pass.",
            ),
            Self::NotToDepth => usual(
                "Along this stretch the pass does not go down to the lowest Z it is meant to reach.",
                "Check the Z levels, and whether one level was left out.",
            ),
            Self::BelowDepth => usual(
                "The pass goes below the lowest Z it is meant to reach.",
                "Check the Z zero, the tool's length and the lowest Z that the job gives.",
            ),
            Self::LeaveOffAllowance => usual(
                "The pass leaves more or less than it is meant to.",
                "Where no reason is given, check the diameter entered, the D offset, and the allowance that the job states.",
            ),
            Self::BlankShort => usual(
                "The blank ends inside the scribed line: there is no metal to cut.",
                "Try the best position; add metal, or use another blank, where it is short even there.",
            ),
            Self::CutsNothing => usual(
                "The pass takes no metal at all.",
                "Check its zero, its tool, and whether an earlier pass has taken it.",
            ),
            Self::MetalLeft => usual(
                "After the last pass metal still stands outside the block: along the line, at another height of the wall, or on its top.",
                "Check whether a pass is missing, or leaves it on purpose.",
            ),
            Self::LooseMetal => usual(
                "The pass cuts a part of the blank through all around, and no clamp area reaches it.",
                "Clamp it and name the clamp in the job, leave it hanging on, or cut it away; keep clear while it is cut.",
            ),
            Self::NotNeeded => {
                usual("All that the pass takes is light.", "See 'Order of passes': it may be left out.")
            }
            Self::ToolTooWide => usual(
                "The tool cannot go into an inner corner of the line; metal stays there.",
                "Use a smaller cutter for the corner, or make the corner's radius larger.",
            ),
            _ => return None,
        })
    }

    /// Findings about tool, holder and machine.
    const fn of_machine(self) -> Option<Usual> {
        Some(match self {
            Self::KeepClear => usual(
                "Tool or holder comes into a clamp area.",
                "Move the clamp, or change the way around it.",
            ),
            Self::PastFlutes => usual(
                "Metal stands in the cut higher up than the flutes reach.",
                "Use longer flutes, or take the metal above first.",
            ),
            Self::ShankContact => usual(
                "Shank or neck runs against metal.",
                "Use a tool with a longer reach or a relieved neck, or clear the metal above first.",
            ),
            Self::HolderContact => usual(
                "The holder runs against metal.",
                "Let the tool stick out farther, or use a slimmer holder.",
            ),
            Self::OffTravel => usual(
                "A motion goes past the travel that the job states.",
                "Clamp the blank elsewhere, and check the work offset.",
            ),
            Self::TooFast => usual(
                "Spindle or feed is faster than the machine goes; the control will hold it back.",
                "Lower it, so that speed and chip load are what you planned.",
            ),
            Self::ChipLoad => usual(
                "The feed for each tooth is far from the usual.",
                "Check feed, speed and number of flutes against the tool maker's table.",
            ),
            Self::OverPower => usual(
                "The cut takes more power than the spindle has.",
                "Take less at a time, or feed slower.",
            ),
            Self::SpindleStopped => usual(
                "The tool feeds into metal with the spindle stopped.",
                "Add M3 with a speed before the cut.",
            ),
            Self::SpindleBackwards => usual(
                "The spindle turns backward while the tool cuts.",
                "Normally M3; M4 is for left-hand tools.",
            ),
            Self::NoSpeed => {
                usual("The spindle is started without a speed.", "Add S on the line of M3 or before it.")
            }
            Self::NoFeed => usual("The tool feeds before any feed was set.", "Add F on the first feed line."),
            Self::CoolantLeftOn => {
                usual("The coolant is still on when the program ends.", "Add M9 before the end.")
            }
            Self::OverridesOff => usual(
                "The program takes the override knobs out of the operator's hand.",
                "Delete the word, unless it is needed for tapping.",
            ),
            Self::WrongTool => usual(
                "The program calls another tool than the job says.",
                "Correct T in the program, or the tool of the pass.",
            ),
            Self::OtherOffset => usual(
                "The program takes the offset of another tool.",
                "H and D are normally the number of the tool.",
            ),
            _ => return None,
        })
    }

    /// Findings about the text of a program.
    const fn of_program(self) -> Option<Usual> {
        Some(match self {
            Self::ArcMismatch => usual(
                "The ends of an arc do not fit its center or radius.",
                "Look for a rounded or wrong number; most controls stop there with an alarm.",
            ),
            Self::UnprovenWord => usual(
                "A word that could change where metal is cut is not followed, so from there on nothing is sure.",
                "Post without it. If your control has it and it moves nothing, say so once in the job.",
            ),
            Self::UnprovenState => usual(
                "From here on something decides the path that nobody has stated.",
                "State it: the place, the offset or the zero that the message names.",
            ),
            Self::BadNumber => {
                usual("A number cannot be read, or is missing.", "Correct it at the column shown.")
            }
            Self::OddNumber => usual(
                "A number looks like a decimal point forgotten or misplaced.",
                "Compare with the lines around it; add the decimal point.",
            ),
            Self::OddFeed => usual(
                "A feed looks like one of the other unit.",
                "Check inches against millimeters, and per minute against per revolution.",
            ),
            Self::OddDepth => usual(
                "One move dips below the depth that the program cuts at.",
                "Look for a wrong sign or a wrong digit in Z.",
            ),
            Self::SlantingRapid => usual(
                "A rapid comes down while it crosses; many machines do not go straight there.",
                "First X and Y at a safe height, then Z.",
            ),
            Self::NoEnd => usual(
                "The program does not end as controls expect.",
                "End with M30; what follows it is not run.",
            ),
            Self::StartState => usual(
                "The program relies on what an earlier one has left in force.",
                "State unit, plane, distance mode and offset in its first lines.",
            ),
            Self::HomeAcross => usual(
                "X or Y goes to a machine position while Z is not known to be up.",
                "Send Z up first, on a line of its own.",
            ),
            Self::UsualReading => usual(
                "Controls differ in how they read this word; it is read as most do.",
                "Check it against your control's manual.",
            ),
            Self::OtherZero => usual(
                "The program sets a zero of the control itself, or runs from another one than the passes before it.",
                "Make sure that it is the zero that the job has for this pass.",
            ),
            Self::NumberTwice => usual(
                "Two programs of the job have one number; the second replaces the first in many controls.",
                "Renumber one, with 'Prepare for the control'.",
            ),
            Self::SameMotion => usual(
                "Two programs of the job move alike.",
                "Check whether one file was opened twice, or saved over another.",
            ),
            Self::SameAsAirPass => usual(
                "The pass runs its air pass in place of the real program.",
                "Load the real program, and delete the air pass from the control.",
            ),
            Self::ControlRefuses => usual(
                "The control does not take the text as it is: number, line length, characters or line ends.",
                "Write it again with 'Prepare for the control'.",
            ),
            _ => return None,
        })
    }

    /// Findings about the job itself and the drawings it was made from.
    const fn of_job_or_drawing(self) -> Usual {
        match self {
            Self::Unconfirmed => usual(
                "Something in the job was read from comments and motion, and nobody has confirmed it.",
                "Look at each row of the table, correct or tick it.",
            ),
            Self::DrawingGap => usual(
                "Two ends in the drawing did not quite meet and were joined.",
                "Check that they are meant to meet.",
            ),
            Self::DrawingOpen => usual(
                "A line in the drawing ends and none goes on.",
                "Close it in the drawing, or leave it out.",
            ),
            Self::DrawingBranch => usual(
                "More than two lines meet at a place of the drawing.",
                "Put the outline on a layer of its own.",
            ),
            Self::DrawingTwice => usual("Something is drawn twice.", "Delete one of the two in the drawing."),
            Self::DrawingCrosses => usual(
                "The path crosses itself, or runs back along itself.",
                "Correct it in the drawing: an outline encloses one area.",
            ),
            Self::DrawingLeftOut => usual(
                "Texts, dimensions or other things of the drawing are no lines in plan.",
                "Check that nothing of the outline is among them.",
            ),
            Self::DrawingUnits => usual(
                "The drawing says another unit than the job does for it.",
                "Measure one known length; correct the unit where it is wrong.",
            ),
            Self::DrawingSeveral => usual(
                "The drawing has several closed paths; the one that encloses most was taken.",
                "Choose another by its layer, if that is the outline.",
            ),
            // What is left, and codes to come before they have their words: that is what a part not checked means.
            _ => usual(
                "A part of the check could not be made, for want of something in the job.",
                "Give what the message asks for; until then that part is not looked at.",
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_words_of_its_own() {
        let mut seen = std::collections::BTreeSet::new();
        for code in Code::ALL {
            let Usual { means, done } = code.usual();
            assert!(seen.insert(means), "{code:?} has the words of another");
            for words in [means, done] {
                assert!(words.ends_with('.') && words.len() < 120, "{code:?}: {words}");
                assert!(!words.to_lowercase().contains("prove"), "{code:?}: {words}");
            }
        }
    }
}
