//! Everything that can be asked of the window: one list for menus, keys and tests.

use eframe::egui::{Key, KeyboardShortcut, Modifiers};

/// One thing that can be asked for without more words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Command {
    /// Open a job or programs.
    Open,
    /// Open the built-in demo job.
    OpenDemo,
    /// Write the job into a file.
    SaveJob,
    /// Write the record of the job into a folder.
    Record,
    /// Type in what was measured on the block.
    Measured,
    /// Show the wall looked at in the record, or no longer.
    MarkWall,
    /// Lay a picture of the window on the clipboard.
    CopyWindow,
    /// Lay the picture in the middle of the window on the clipboard.
    CopyPicture,
    /// Lay the graph on the clipboard.
    CopyGraph,
    /// Edit what the job states.
    EditJob,
    /// Draw the outline.
    DrawOutline,
    /// Draw the blank's edge.
    DrawEdge,
    /// Bring in a drawing.
    BringIn,
    /// Take back the last change of the job.
    TakeBack,
    /// Change it again.
    DoAgain,
    /// How the outline lies on the blank, and how it would lie best.
    BlankFit,
    /// The pass runs before the one it followed.
    PassUp,
    /// The pass runs after the one it went before.
    PassDown,
    /// The pass is left out of the job.
    LeaveOut,
    /// Let the job run another program, in a pass of its own.
    AddPass,
    /// Lay another order of the passes beside the present one.
    PassOrder,
    /// Edit the tools of the job.
    Tools,
    /// Choose tools from a crib.
    ToolsFromCrib,
    /// Write the tools of the job into a crib.
    SaveCrib,
    /// Edit the program line where it stands.
    EditLine,
    /// Put a line in.
    InsertLine,
    /// Take the line out.
    DeleteLine,
    /// Take back the last edit of the program.
    Undo,
    /// Do it again.
    Redo,
    /// The program line before.
    LineBefore,
    /// The program line after.
    LineAfter,
    /// Look for something in the program.
    Find,
    /// The next place found.
    FindNext,
    /// The place found before.
    FindBefore,
    /// Write the edited program into a new file.
    SaveProgram,
    /// Read the program's file again.
    Reload,
    /// Make the air pass of the program.
    AirPass,
    /// Make the program ready for the control.
    MakeReady,
    /// Hold the program against another.
    CompareWith,
    /// Write a picture of the window.
    PictureOfWindow,
    /// Write a picture of the plan.
    PictureOfPlan,
    /// Write a picture of the strip.
    PictureOfStrip,
    /// Write a picture of what has to be built up.
    PictureOfBuildUp,
    /// Dark or light.
    Dark,
    /// Show the whole plan.
    Fit,
    /// Smaller cells.
    Finer,
    /// Larger cells.
    Coarser,
    /// All commands in one list, to be searched.
    Search,
    /// What each kind of finding means.
    Meanings,
    /// The cautions.
    Cautions,
    /// The keys.
    Keys,
    /// The pass before.
    PassBefore,
    /// The pass after.
    PassAfter,
    /// The finding before.
    FindingBefore,
    /// The finding after.
    FindingAfter,
    /// No longer show the place of a finding enlarged.
    CloseMagnifier,
    /// Show or hide findings and passes.
    PaneLeft,
    /// Show or hide figures and program.
    PaneRight,
    /// Show or hide what stands under the picture.
    PaneBelow,
    /// The picture alone, or with the panes again.
    PictureAlone,
    /// A little back along the pass.
    Back,
    /// A little on.
    On,
    /// A good way back.
    FarBack,
    /// A good way on.
    FarOn,
    /// To the start of the pass.
    Start,
    /// To its end.
    End,
    /// Move the tool as time goes.
    Play,
    /// Show the plan from above.
    ShowPlan,
    /// Show the wall at a station.
    ShowWall,
    /// Show the block in the round.
    ShowBlock,
    /// Draw the stock along the outline thicker than it is, or at true scale.
    EnlargeStock,
    /// See the block from above.
    FromAbove,
    /// See the block from the front.
    FromFront,
    /// See the block from the side.
    FromSide,
    /// See the block from a corner.
    FromCorner,
    /// Draw an area that no tool may come into.
    KeepClear,
    /// Finer cells in the part of the plan that is seen.
    FinerHere,
    /// Write a picture of the wall.
    PictureOfWall,
    /// Write a picture of the block in the round.
    PictureOfBlock,
    /// Stop the proof under way.
    Stop,
    /// Close the window.
    Quit,
}

impl Command {
    /// Every command, those with more modifier keys first so that the plainer key does not take them.
    pub const ALL: &'static [Self] = &[
        Self::TakeBack,
        Self::DoAgain,
        Self::PassUp,
        Self::PassDown,
        Self::FarBack,
        Self::FarOn,
        Self::FindBefore,
        Self::FindingBefore,
        Self::PaneLeft,
        Self::PaneRight,
        Self::PaneBelow,
        Self::SaveProgram,
        Self::InsertLine,
        Self::DeleteLine,
        Self::Undo,
        Self::Redo,
        Self::LineBefore,
        Self::LineAfter,
        Self::Find,
        Self::SaveJob,
        Self::Open,
        Self::CopyWindow,
        Self::CopyPicture,
        Self::PictureOfWindow,
        Self::CopyGraph,
        Self::OpenDemo,
        Self::Record,
        Self::Measured,
        Self::MarkWall,
        Self::EditJob,
        Self::DrawOutline,
        Self::DrawEdge,
        Self::BringIn,
        Self::BlankFit,
        Self::LeaveOut,
        Self::AddPass,
        Self::PassOrder,
        Self::Tools,
        Self::ToolsFromCrib,
        Self::SaveCrib,
        Self::EditLine,
        Self::FindNext,
        Self::Reload,
        Self::AirPass,
        Self::MakeReady,
        Self::CompareWith,
        Self::PictureOfPlan,
        Self::PictureOfStrip,
        Self::PictureOfBuildUp,
        Self::Dark,
        Self::Fit,
        Self::Finer,
        Self::Coarser,
        Self::Search,
        Self::Meanings,
        Self::Cautions,
        Self::Keys,
        Self::PassBefore,
        Self::PassAfter,
        Self::FindingAfter,
        Self::CloseMagnifier,
        Self::PictureAlone,
        Self::Back,
        Self::On,
        Self::Start,
        Self::End,
        Self::Play,
        Self::ShowPlan,
        Self::ShowWall,
        Self::ShowBlock,
        Self::EnlargeStock,
        Self::FromAbove,
        Self::FromFront,
        Self::FromSide,
        Self::FromCorner,
        Self::KeepClear,
        Self::FinerHere,
        Self::PictureOfWall,
        Self::PictureOfBlock,
        Self::Stop,
        Self::Quit,
    ];

    /// What it is called in menus.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Open => "Open…",
            Self::OpenDemo => "Open the demo job",
            Self::SaveJob => "Save job as…",
            Self::Record => "Record…",
            Self::Measured => "Measurements…",
            Self::EditJob => "Edit job…",
            Self::DrawOutline => "Draw the outline…",
            Self::DrawEdge => "Draw the edge…",
            Self::BringIn => "Import drawing…",
            Self::TakeBack => "Undo job change",
            Self::DoAgain => "Redo job change",
            Self::BlankFit => "Best fit on the blank",
            Self::PassUp => "Move the pass up",
            Self::PassDown => "Move the pass down",
            Self::LeaveOut => "Remove the pass",
            Self::AddPass => "Add a pass from a program…",
            Self::PassOrder => "Order of passes…",
            Self::Tools => "Tools…",
            Self::ToolsFromCrib => "Tools from a crib…",
            Self::SaveCrib => "Save tools as a crib…",
            Self::EditLine => "Edit the line",
            Self::InsertLine => "Insert a line below",
            Self::DeleteLine => "Delete the line",
            Self::Undo => "Undo",
            Self::Redo => "Redo",
            Self::LineBefore => "Previous line",
            Self::LineAfter => "Next line",
            Self::Find => "Find…",
            Self::FindNext => "Find next",
            Self::FindBefore => "Find previous",
            Self::SaveProgram => "Save a copy of the program…",
            Self::Reload => "Reload the program",
            Self::AirPass => "Air pass…",
            Self::MakeReady => "Prepare for the control…",
            Self::CompareWith => "Compare with…",
            Self::PictureOfWindow => "Picture of the window…",
            Self::PictureOfPlan => "Picture of the plan…",
            Self::PictureOfStrip => "Picture of the graph…",
            Self::PictureOfBuildUp => "Picture of the metal to add…",
            Self::Dark => "Dark or light",
            Self::Fit => "Show all",
            Self::Finer => "Finer model",
            Self::Coarser => "Coarser model",
            Self::Search => "Search commands…",
            Self::Meanings => "What findings mean",
            Self::Cautions => "Cautions",
            Self::Keys => "Keys",
            Self::PassBefore => "Previous pass",
            Self::PassAfter => "Next pass",
            Self::FindingBefore => "Previous finding",
            Self::FindingAfter => "Next finding",
            Self::CloseMagnifier => "Close the enlarged view",
            Self::PaneLeft => "Findings and passes",
            Self::PaneRight => "Figures and program",
            Self::PaneBelow => "Graphs and tables",
            Self::PictureAlone => "Picture alone",
            Self::Back => "Step back",
            Self::On => "Step forward",
            Self::FarBack => "Ten steps back",
            Self::FarOn => "Ten steps forward",
            Self::Start => "Start of the pass",
            Self::End => "End of the pass",
            Self::Play => "Play or pause",
            Self::ShowPlan => "Show the plan",
            Self::ShowWall => "Show the wall",
            Self::ShowBlock => "Show the block",
            Self::EnlargeStock => "Stock left enlarged",
            Self::FromAbove => "Block from above",
            Self::FromFront => "Block from the front",
            Self::FromSide => "Block from the side",
            Self::FromCorner => "Block from a corner",
            Self::KeepClear => "Clamp area…",
            Self::FinerHere => "Refine this area…",
            Self::PictureOfWall => "Picture of the wall…",
            Self::MarkWall => "Mark this wall for the record",
            Self::CopyWindow => "Copy the window",
            Self::CopyPicture => "Copy the picture shown",
            Self::CopyGraph => "Copy the graph",
            Self::PictureOfBlock => "Picture of the block…",
            Self::Stop => "Stop checking",
            Self::Quit => "Quit",
        }
    }

    /// What it does, in a sentence.
    pub const fn tooltip(self) -> &'static str {
        match self {
            Self::Open => "Open a job file, or one or more programs",
            Self::OpenDemo => "Open the built-in sample job",
            Self::SaveJob => "Save the job file, and beside it those of its programs that are not there yet",
            Self::Record => "Write the record of the job into a folder, to print and to keep",
            Self::Measured => "Type in what you have measured on the block, beside what is expected",
            Self::EditJob => {
                "Change limits, blank, material, bed and passes; the job is checked again at once"
            }
            Self::DrawOutline => "Draw the scribed outline with lines and arcs, or change it",
            Self::DrawEdge => "Draw the edge of the sawn blank, or take it from measured points",
            Self::BringIn => "Take an outline or an edge from a DXF, SVG or CSV file",
            Self::TakeBack => "Undo the last change of the job: limits, passes, where the blank lies",
            Self::DoAgain => "Redo the change of the job that was undone",
            Self::BlankFit => "Show how the outline fits the blank best, and where it still comes up short",
            Self::PassUp => "Run the selected pass one place earlier",
            Self::PassDown => "Run the selected pass one place later",
            Self::LeaveOut => {
                "Remove the selected pass from the job; its program file stays, and you can undo it"
            }
            Self::AddPass => "Open a program into the job, as a pass after the last",
            Self::PassOrder => {
                "Compare another order of the passes with the present one, and see which could be left out"
            }
            Self::Tools => "Add, remove and edit the tools of the job",
            Self::ToolsFromCrib => "Choose tools for the job from a file that several jobs share",
            Self::SaveCrib => "Save the tools of the job in a file that other jobs can share",
            Self::EditLine => "Edit the selected program line; it is checked again as you type",
            Self::InsertLine => "Insert an empty line below the selected one and edit it",
            Self::DeleteLine => "Delete the selected line from the program",
            Self::Undo => "Undo the last edit of the program",
            Self::Redo => "Redo what was undone",
            Self::LineBefore => "Go to the previous program line, and the tool with it",
            Self::LineAfter => "Go to the next program line, and the tool with it",
            Self::Find => "Find a line number, a word such as X1.25, or a Z level such as Z<-0.5",
            Self::FindNext => "Go to the next place found",
            Self::FindBefore => "Go to the previous place found",
            Self::SaveProgram => "Save the edited program as a new file, next to the one it was read from",
            Self::Reload => "Read the program's file again; edits made here are lost",
            Self::AirPass => "Save a copy of the program, lifted so that it walks round above the block",
            Self::MakeReady => "Give the program the number, line ends and characters that the control takes",
            Self::CompareWith => "Show what moves differently between this program and another",
            Self::PictureOfWindow => "Save what the window shows as a PNG file",
            Self::PictureOfPlan => "Save a picture of the block at this moment as a PNG file",
            Self::PictureOfStrip => "Save the graph of the cut as a PNG file",
            Self::PictureOfBuildUp => "Save a picture of where the blank is short, and by how much",
            Self::Dark => "Change between dark and light",
            Self::Fit => "Show the whole block and every path",
            Self::Finer => "Check with cells half as wide: finer picture, slower",
            Self::Coarser => "Check with cells twice as wide: coarser picture, faster",
            Self::Search => "Find a command by a part of its name, and run it",
            Self::Meanings => "What each kind of finding means, and what is usually done about it",
            Self::Cautions => "What a check cannot promise",
            Self::Keys => "What the keys do",
            Self::FindingBefore => "Go to the previous finding",
            Self::FindingAfter => "Go to the next finding, the first where none is selected",
            Self::CloseMagnifier => "Close the enlarged view of the finding's worst place",
            Self::PaneLeft => "Show or hide the cards of findings and the list of passes",
            Self::PaneRight => "Show or hide the figures of the pass and its program",
            Self::PaneBelow => "Show or hide the graphs and tables under the picture",
            Self::PictureAlone => "Show the picture alone, or the panes again",
            Self::PassBefore => {
                "Go to the previous pass, at its end; to the previous card while a finding is selected"
            }
            Self::PassAfter => {
                "Go to the next pass, at its end; to the next card while a finding is selected"
            }
            Self::Back => "Move the tool back by 1/200 of the pass",
            Self::On => "Move the tool forward by 1/200 of the pass",
            Self::FarBack => "Move the tool back by 1/20 of the pass",
            Self::FarOn => "Move the tool forward by 1/20 of the pass",
            Self::Start => "Move the tool to the start of the pass",
            Self::End => "Move the tool to the end of the pass",
            Self::Play => "Run the tool along the pass, or pause it",
            Self::ShowPlan => "Show the block from above, with the path of the pass",
            Self::ShowWall => "Show the section of the wall at a station, after every pass",
            Self::ShowBlock => "Show the block in 3D; drag to rotate",
            Self::EnlargeStock => {
                "Draw the stock left along the outline thicker than it is, or at true scale"
            }
            Self::FromAbove => "See the block straight from above",
            Self::FromFront => "See the block level from the front, X to the right",
            Self::FromSide => "See the block level from its right side",
            Self::FromCorner => "See the block from above one of its corners",
            Self::KeepClear => {
                "Draw on the plan where a clamp, screw or stop stands: tool and holder must keep out of it"
            }
            Self::FinerHere => "Show the part of the plan in view with smaller cells",
            Self::PictureOfWall => "Save the section at the station as a PNG file",
            Self::MarkWall => "The record shows the wall at this station; asked again, no longer",
            Self::CopyWindow => "Lay what the window shows on the clipboard",
            Self::CopyPicture => "Lay the plan, wall or block that is shown on the clipboard",
            Self::CopyGraph => "Lay the graph of the pass on the clipboard",
            Self::PictureOfBlock => "Save the 3D block as you see it in the window as a PNG file",
            Self::Stop => "Stop the check under way; the last result stays on the screen",
            Self::Quit => "Close the window",
        }
    }

    /// Its key.
    pub const fn shortcut(self) -> Option<KeyboardShortcut> {
        const fn plain(key: Key) -> KeyboardShortcut {
            KeyboardShortcut::new(Modifiers::NONE, key)
        }
        const fn command(key: Key) -> KeyboardShortcut {
            KeyboardShortcut::new(Modifiers::COMMAND, key)
        }
        Some(match self {
            Self::Open => command(Key::O),
            Self::SaveJob => command(Key::S),
            Self::Record => command(Key::R),
            Self::EditJob => command(Key::E),
            Self::TakeBack => KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::ALT), Key::Z),
            Self::DoAgain => KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::ALT), Key::Y),
            Self::PassUp => KeyboardShortcut::new(Modifiers::ALT, Key::ArrowUp),
            Self::PassDown => KeyboardShortcut::new(Modifiers::ALT, Key::ArrowDown),
            Self::EditLine => plain(Key::F2),
            Self::InsertLine => command(Key::Enter),
            Self::DeleteLine => command(Key::Delete),
            Self::Undo => command(Key::Z),
            Self::Redo => command(Key::Y),
            Self::LineBefore => command(Key::ArrowUp),
            Self::LineAfter => command(Key::ArrowDown),
            Self::Find => command(Key::F),
            Self::FindNext => plain(Key::F3),
            Self::FindBefore => KeyboardShortcut::new(Modifiers::SHIFT, Key::F3),
            Self::AirPass => plain(Key::F6),
            Self::MakeReady => plain(Key::F7),
            Self::CompareWith => plain(Key::F8),
            Self::SaveProgram => KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::S),
            Self::PictureOfWindow => command(Key::P),
            Self::CopyWindow => KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::P),
            Self::CopyPicture => KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), Key::I),
            Self::Dark => command(Key::D),
            Self::Fit => plain(Key::F),
            Self::Search => command(Key::K),
            Self::Keys => plain(Key::F1),
            Self::FindingBefore => KeyboardShortcut::new(Modifiers::SHIFT, Key::N),
            Self::FindingAfter => plain(Key::N),
            Self::CloseMagnifier => plain(Key::Escape),
            Self::PaneLeft => command(Key::Num1),
            Self::PaneRight => command(Key::Num2),
            Self::PaneBelow => command(Key::Num3),
            Self::PictureAlone => plain(Key::P),
            Self::PassBefore => plain(Key::ArrowUp),
            Self::PassAfter => plain(Key::ArrowDown),
            Self::Back => plain(Key::ArrowLeft),
            Self::On => plain(Key::ArrowRight),
            Self::FarBack => KeyboardShortcut::new(Modifiers::SHIFT, Key::ArrowLeft),
            Self::FarOn => KeyboardShortcut::new(Modifiers::SHIFT, Key::ArrowRight),
            Self::Start => plain(Key::Home),
            Self::End => plain(Key::End),
            Self::Play => plain(Key::Space),
            Self::ShowPlan => plain(Key::Num1),
            Self::ShowWall => plain(Key::Num2),
            Self::ShowBlock => plain(Key::Num3),
            Self::EnlargeStock => plain(Key::E),
            Self::Quit => command(Key::Q),
            Self::OpenDemo
            | Self::DrawOutline
            | Self::DrawEdge
            | Self::BringIn
            | Self::BlankFit
            | Self::LeaveOut
            | Self::AddPass
            | Self::PassOrder
            | Self::Measured
            | Self::MarkWall
            | Self::CopyGraph
            | Self::Tools
            | Self::ToolsFromCrib
            | Self::SaveCrib
            | Self::Reload
            | Self::PictureOfPlan
            | Self::PictureOfStrip
            | Self::PictureOfBuildUp
            | Self::Finer
            | Self::Coarser
            | Self::Meanings
            | Self::Cautions
            | Self::FromAbove
            | Self::FromFront
            | Self::FromSide
            | Self::FromCorner
            | Self::KeepClear
            | Self::FinerHere
            | Self::PictureOfWall
            | Self::PictureOfBlock
            | Self::Stop => return None,
        })
    }
}

impl Command {
    /// Whether its key counts while something is being typed.
    pub const fn works_while_typing(self) -> bool {
        matches!(
            self,
            Self::Find
                | Self::FindNext
                | Self::FindBefore
                | Self::SaveProgram
                | Self::AirPass
                | Self::MakeReady
                | Self::CompareWith
                | Self::SaveJob
                | Self::Quit
        )
    }

    /// Whether it is about the text of a program.
    pub const fn is_of_program(self) -> bool {
        matches!(
            self,
            Self::EditLine
                | Self::InsertLine
                | Self::DeleteLine
                | Self::Undo
                | Self::Redo
                | Self::LineBefore
                | Self::LineAfter
                | Self::Find
                | Self::FindNext
                | Self::FindBefore
                | Self::SaveProgram
                | Self::Reload
                | Self::AirPass
                | Self::MakeReady
                | Self::CompareWith
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_key() {
        for (index, one) in Command::ALL.iter().enumerate() {
            for other in &Command::ALL[index + 1..] {
                assert_ne!(one, other, "listed twice");
                if let (Some(a), Some(b)) = (one.shortcut(), other.shortcut()) {
                    assert_ne!(a, b, "{one:?} and {other:?}");
                }
                assert_ne!(one.label(), other.label(), "{one:?} and {other:?}");
            }
        }
    }

    #[test]
    fn keys_with_modifiers_come_first() {
        let modified = |command: &Command| command.shortcut().is_some_and(|keys| keys.modifiers.any());
        let place = |wanted| Command::ALL.iter().position(|command| *command == wanted).expect("listed");
        for plain in [Command::Back, Command::On] {
            assert!(!modified(&plain));
            assert!(place(Command::FarBack) < place(plain) && place(Command::FarOn) < place(plain));
        }
        for (more, plainer) in [
            (Command::SaveProgram, Command::SaveJob),
            (Command::FindBefore, Command::FindNext),
            (Command::Find, Command::Fit),
            (Command::TakeBack, Command::Undo),
            (Command::DoAgain, Command::Redo),
            (Command::PassUp, Command::LineBefore),
            (Command::PassUp, Command::PassBefore),
            (Command::PassDown, Command::PassAfter),
            (Command::LineBefore, Command::PassBefore),
            (Command::LineAfter, Command::PassAfter),
        ] {
            assert!(place(more) < place(plainer), "{more:?}");
        }
    }
}
