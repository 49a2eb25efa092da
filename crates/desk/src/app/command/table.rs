//! The table of all commands: each with its place in the menus, its key, its name and what it does.

use eframe::egui::{Key, KeyboardShortcut, Modifiers};

use super::{Menu, Needs, Row};

#[expect(clippy::unnecessary_wraps, reason = "a row has a key, or none")]
const fn held(modifiers: Modifiers, key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(modifiers, key))
}

const fn key(key: Key) -> Option<KeyboardShortcut> {
    held(Modifiers::NONE, key)
}

const fn ctrl(key: Key) -> Option<KeyboardShortcut> {
    held(Modifiers::COMMAND, key)
}

const fn alt(key: Key) -> Option<KeyboardShortcut> {
    held(Modifiers::ALT, key)
}

const fn shift(key: Key) -> Option<KeyboardShortcut> {
    held(Modifiers::SHIFT, key)
}

const fn ctrl_alt(key: Key) -> Option<KeyboardShortcut> {
    held(Modifiers::COMMAND.plus(Modifiers::ALT), key)
}

const fn ctrl_shift(key: Key) -> Option<KeyboardShortcut> {
    held(Modifiers::COMMAND.plus(Modifiers::SHIFT), key)
}

/// No key.
const NONE: Option<KeyboardShortcut> = None;

/// Whether a row says that its key counts while something is being typed.
macro_rules! typed {
    () => {
        false
    };
    (typed $($rest:ident)*) => {
        true
    };
    ($other:ident $($rest:ident)*) => {
        typed!($($rest)*)
    };
}

/// What must be there for the command to do anything, where its row says it.
macro_rules! needs {
    () => {
        Needs::Nothing
    };
    (earlier $($rest:ident)*) => {
        Needs::Earlier
    };
    (later $($rest:ident)*) => {
        Needs::Later
    };
    (checking $($rest:ident)*) => {
        Needs::Checking
    };
    (typed $($rest:ident)*) => {
        needs!($($rest)*)
    };
}

/// Makes the commands and their rows. A group is a number within its menu; `typed` says that the key counts while
/// something is being typed, the other words what must be there for the command to do anything.
macro_rules! commands {
    ($($menu:ident $group:literal { $(
        #[doc = $doc:literal] $name:ident $keys:expr, $label:literal, $tip:literal $(, $said:ident)*;
    )* })*) => {
        /// One thing that can be asked for without more words.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Command {
            $($( #[doc = $doc] $name, )*)*
        }

        impl Command {
            /// Every command, in the order of the menus.
            pub const ALL: &'static [Self] = &[$($( Self::$name, )*)*];

            /// Its row of the table.
            pub(super) const fn row(self) -> Row {
                match self {
                    $($( Self::$name => Row {
                        menu: Menu::$menu,
                        group: $group,
                        keys: $keys,
                        label: $label,
                        tip: $tip,
                        typed: typed!($($said)*),
                        needs: needs!($($said)*),
                    }, )*)*
                }
            }
        }
    };
}

commands! {
    Job 0 {
        /// Open a job or programs.
        Open ctrl(Key::O), "Open…",
            "Open a job file, or one or more programs";
        /// Open the built-in demo job.
        OpenDemo NONE, "Open the demo job",
            "Open the built-in sample job";
        /// Write the job into a file.
        SaveJob ctrl(Key::S), "Save job as…",
            "Save the job file, and beside it those of its programs that are not there yet", typed;
        /// Write the record of the job into a folder.
        Record ctrl(Key::R), "Record…",
            "Write the record of the job into a folder, to print and to keep";
        /// Show the wall looked at in the record, or no longer.
        MarkWall NONE, "Mark this wall for the record",
            "Show the wall at this station in the record; choose again to unmark it";
    }
    Job 1 {
        /// Edit what the job states.
        EditJob ctrl(Key::E), "Edit job…",
            "Change limits, blank, material, bed and passes; the job is checked again at once";
        /// Take back the last change of the job.
        TakeBack ctrl_alt(Key::Z), "Undo job change",
            "Undo the last change of the job: limits, passes, where the blank lies", earlier;
        /// Change it again.
        DoAgain ctrl_alt(Key::Y), "Redo job change",
            "Redo the change of the job that was undone", later;
    }
    Job 2 {
        /// Edit the tools of the job.
        Tools NONE, "Tools…",
            "Add, remove and edit the tools of the job";
        /// Choose tools from a crib.
        ToolsFromCrib NONE, "Tools from a crib…",
            "Choose tools for the job from a file that several jobs share";
        /// Write the tools of the job into a crib.
        SaveCrib NONE, "Save tools as a crib…",
            "Save the tools of the job in a file that other jobs can share";
    }
    Job 3 {
        /// Close the window.
        Quit ctrl(Key::Q), "Quit",
            "Close the window", typed;
    }
    Blank 0 {
        /// Draw the outline.
        DrawOutline NONE, "Draw the outline…",
            "Draw the scribed outline with lines and arcs, or change it";
        /// Draw the blank's edge.
        DrawEdge NONE, "Draw the edge…",
            "Draw the edge of the sawn blank, or take it from measured points";
        /// Bring in a drawing.
        BringIn NONE, "Import drawing…",
            "Take an outline or an edge from a DXF, SVG or CSV file";
    }
    Blank 1 {
        /// How the outline lies on the blank, and how it would lie best.
        BlankFit NONE, "Best fit on the blank",
            "Show how the outline fits the blank best, and where it still comes up short";
        /// Draw an area that no tool may come into.
        KeepClear NONE, "Clamp area…",
            "Draw on the plan where a clamp, screw or stop stands: tool and holder must keep out of it";
    }
    Passes 0 {
        /// Let the job run another program, in a pass of its own.
        AddPass NONE, "Add a pass from a program…",
            "Open a program into the job, as a pass after the last";
        /// Lay another order of the passes beside the present one.
        PassOrder NONE, "Order of passes…",
            "Compare another order of the passes with the present one, and see which could be left out";
    }
    Passes 1 {
        /// The pass runs before the one it followed.
        PassUp alt(Key::ArrowUp), "Move the pass up",
            "Run the selected pass one place earlier";
        /// The pass runs after the one it went before.
        PassDown alt(Key::ArrowDown), "Move the pass down",
            "Run the selected pass one place later";
        /// The pass is left out of the job.
        LeaveOut NONE, "Remove the pass",
            "Remove the selected pass from the job; its program file stays, and you can undo it";
    }
    Passes 2 {
        /// Type in what was measured on the block.
        Measured NONE, "Measurements…",
            "Type in what you have measured on the block, beside what is expected";
    }
    Program 0 {
        /// Edit the program line where it stands.
        EditLine key(Key::F2), "Edit the line",
            "Edit the selected program line; it is checked again as you type";
        /// Put a line in.
        InsertLine ctrl(Key::Enter), "Insert a line below",
            "Insert an empty line below the selected one and edit it";
        /// Take the line out.
        DeleteLine ctrl(Key::Delete), "Delete the line",
            "Delete the selected line from the program";
        /// Take back the last edit of the program.
        Undo ctrl(Key::Z), "Undo",
            "Undo the last edit of the program";
        /// Do it again.
        Redo ctrl(Key::Y), "Redo",
            "Redo what was undone";
    }
    Program 1 {
        /// Look for something in the program.
        Find ctrl(Key::F), "Find…",
            "Find a line number, a word such as X1.25, or a Z level such as Z<-0.5", typed;
        /// The next place found.
        FindNext key(Key::F3), "Find next",
            "Go to the next place found", typed;
        /// The place found before.
        FindBefore shift(Key::F3), "Find previous",
            "Go to the previous place found", typed;
        /// The program line before.
        LineBefore ctrl(Key::ArrowUp), "Previous line",
            "Go to the previous program line, and the tool with it";
        /// The program line after.
        LineAfter ctrl(Key::ArrowDown), "Next line",
            "Go to the next program line, and the tool with it";
    }
    Program 2 {
        /// Write the edited program into a new file.
        SaveProgram ctrl_shift(Key::S), "Save a copy of the program…",
            "Save the edited program as a new file, next to the one it was read from", typed;
        /// Read the program's file again.
        Reload NONE, "Reload the program",
            "Read the program's file again; edits made here are lost";
    }
    Program 3 {
        /// Make the air pass of the program.
        AirPass key(Key::F6), "Air pass…",
            "Save a copy of the program, lifted so that it walks around above the block", typed;
        /// Make the program ready for the control.
        MakeReady key(Key::F7), "Prepare for the control…",
            "Give the program the number, line ends and characters that the control takes", typed;
        /// Hold the program against another.
        CompareWith key(Key::F8), "Compare with…",
            "Show what moves differently between this program and another", typed;
    }
    Picture 0 {
        /// Write a picture of the window.
        PictureOfWindow ctrl(Key::P), "Picture of the window…",
            "Save what the window shows as a PNG file";
        /// Write a picture of the plan.
        PictureOfPlan NONE, "Picture of the plan…",
            "Save a picture of the block at this moment as a PNG file";
        /// Write a picture of the strip.
        PictureOfStrip NONE, "Picture of the graph…",
            "Save the graph of the cut as a PNG file";
        /// Write a picture of the wall.
        PictureOfWall NONE, "Picture of the wall…",
            "Save the section at the station as a PNG file";
        /// Write a picture of the block in the round.
        PictureOfBlock NONE, "Picture of the block…",
            "Save the 3D block as you see it in the window as a PNG file";
        /// Write a picture of what has to be built up.
        PictureOfBuildUp NONE, "Picture of the metal to add…",
            "Save a picture of where the blank is short, and by how much";
    }
    Picture 1 {
        /// Lay a picture of the window on the clipboard.
        CopyWindow ctrl_shift(Key::P), "Copy the window",
            "Copy what the window shows to the clipboard";
        /// Lay the picture in the middle of the window on the clipboard.
        CopyPicture ctrl_shift(Key::I), "Copy the picture shown",
            "Copy the plan, wall or block in view to the clipboard";
        /// Lay the graph on the clipboard.
        CopyGraph NONE, "Copy the graph",
            "Copy the graph of the pass to the clipboard";
    }
    View 0 {
        /// Show the plan from above.
        ShowPlan key(Key::Num1), "Show the plan",
            "Show the block from above, with the path of the pass";
        /// Show the wall at a station.
        ShowWall key(Key::Num2), "Show the wall",
            "Show the section of the wall at a station, after every pass";
        /// Show the block in the round.
        ShowBlock key(Key::Num3), "Show the block",
            "Show the block in 3D; drag to rotate";
        /// Show the whole plan.
        Fit key(Key::F), "Show all",
            "Show the whole block and every path";
    }
    View 1 {
        /// The finding after.
        FindingAfter key(Key::N), "Next finding",
            "Go to the next finding, the first where none is selected";
        /// The finding before.
        FindingBefore shift(Key::N), "Previous finding",
            "Go to the previous finding";
    }
    View 2 {
        /// Show or hide findings and passes.
        PaneLeft ctrl(Key::Num1), "Findings and passes",
            "Show or hide the cards of findings and the list of passes";
        /// Show or hide figures and program.
        PaneRight ctrl(Key::Num2), "Figures and program",
            "Show or hide the figures of the pass and its program";
        /// Show or hide what stands under the picture.
        PaneBelow ctrl(Key::Num3), "Graphs and tables",
            "Show or hide the graphs and tables under the view";
        /// The picture alone, or with the panes again.
        PictureAlone key(Key::P), "View alone",
            "Show the view alone, or the panes again";
    }
    View 3 {
        /// See the block from above.
        FromAbove NONE, "Block from above",
            "See the block straight from above";
        /// See the block from the front.
        FromFront NONE, "Block from the front",
            "See the block level from the front, X to the right";
        /// See the block from the side.
        FromSide NONE, "Block from the side",
            "See the block level from its right side";
        /// See the block from a corner.
        FromCorner NONE, "Block from a corner",
            "See the block from above one of its corners";
    }
    View 4 {
        /// Tell lengths in inches or in millimeters.
        OtherUnit key(Key::U), "Inches or millimeters",
            "Show every length in the other unit; the job and its programs stay in theirs";
        /// Draw the stock along the outline thicker than it is, or at true scale.
        EnlargeStock key(Key::E), "Stock left enlarged",
            "Draw the stock left along the outline thicker than it is, or at true scale";
        /// Finer cells in the part of the plan that is seen.
        FinerHere NONE, "Refine this area…",
            "Show the part of the plan in view with smaller cells";
        /// Smaller cells.
        Finer NONE, "Finer model",
            "Check with cells half as wide: finer picture, slower";
        /// Larger cells.
        Coarser NONE, "Coarser model",
            "Check with cells twice as wide: coarser picture, faster";
        /// Dark or light.
        Dark ctrl(Key::D), "Dark or light",
            "Change between dark and light";
    }
    Help 0 {
        /// All commands in one list, to be searched.
        Search ctrl(Key::K), "Search commands…",
            "Find a command by a part of its name, and run it";
        /// The keys.
        Keys key(Key::F1), "Keys",
            "What the keys do";
        /// What each kind of finding means.
        Meanings NONE, "What findings mean",
            "What each kind of finding means, and what is usually done about it";
        /// The cautions.
        Cautions NONE, "Cautions",
            "What a check cannot promise";
    }
    Off 0 {
        /// The pass before.
        PassBefore key(Key::ArrowUp), "Previous pass",
            "Go to the previous pass, at its end; to the previous finding while one is selected";
        /// The pass after.
        PassAfter key(Key::ArrowDown), "Next pass",
            "Go to the next pass, at its end; to the next finding while one is selected";
        /// No longer show the place of a finding enlarged.
        CloseMagnifier key(Key::Escape), "Close the enlarged view",
            "Close the enlarged view of the finding's worst place";
        /// A little back along the pass.
        Back key(Key::ArrowLeft), "Step back",
            "Move the tool back by 1/200 of the pass";
        /// A little on.
        On key(Key::ArrowRight), "Step forward",
            "Move the tool forward by 1/200 of the pass";
        /// A good way back.
        FarBack shift(Key::ArrowLeft), "Ten steps back",
            "Move the tool back by 1/20 of the pass";
        /// A good way on.
        FarOn shift(Key::ArrowRight), "Ten steps forward",
            "Move the tool forward by 1/20 of the pass";
        /// To the start of the pass.
        Start key(Key::Home), "Start of the pass",
            "Move the tool to the start of the pass";
        /// To its end.
        End key(Key::End), "End of the pass",
            "Move the tool to the end of the pass";
        /// Move the tool as time goes.
        Play key(Key::Space), "Play or pause",
            "Run the tool along the pass, or pause it";
        /// Stop the proof under way.
        Stop NONE, "Stop checking",
            "Stop the check under way; the last result stays on the screen", checking;
    }
}
