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
    /// Edit what the job states.
    EditJob,
    /// Write a picture of the window.
    PictureOfWindow,
    /// Write a drawing of the plan.
    PictureOfPlan,
    /// Write a drawing of the strip.
    PictureOfStrip,
    /// Dark or light.
    Dark,
    /// Show the whole plan.
    Fit,
    /// Smaller cells.
    Finer,
    /// Larger cells.
    Coarser,
    /// The cautions.
    Cautions,
    /// The keys.
    Keys,
    /// The pass before.
    PassBefore,
    /// The pass after.
    PassAfter,
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
    /// Stop the proof under way.
    Stop,
    /// Close the window.
    Quit,
}

impl Command {
    /// Every command, those with more modifier keys first so that the plainer key does not take them.
    pub const ALL: &'static [Self] = &[
        Self::FarBack,
        Self::FarOn,
        Self::SaveJob,
        Self::Open,
        Self::PictureOfWindow,
        Self::OpenDemo,
        Self::EditJob,
        Self::PictureOfPlan,
        Self::PictureOfStrip,
        Self::Dark,
        Self::Fit,
        Self::Finer,
        Self::Coarser,
        Self::Cautions,
        Self::Keys,
        Self::PassBefore,
        Self::PassAfter,
        Self::Back,
        Self::On,
        Self::Start,
        Self::End,
        Self::Play,
        Self::Stop,
        Self::Quit,
    ];

    /// What it is called in menus.
    pub const fn label(self) -> &'static str {
        match self {
            Self::Open => "Open…",
            Self::OpenDemo => "Open the demo job",
            Self::SaveJob => "Save job as…",
            Self::EditJob => "Edit job…",
            Self::PictureOfWindow => "Picture of the window…",
            Self::PictureOfPlan => "Drawing of the plan…",
            Self::PictureOfStrip => "Drawing of the strip…",
            Self::Dark => "Dark or light",
            Self::Fit => "Show the whole plan",
            Self::Finer => "Finer cells",
            Self::Coarser => "Coarser cells",
            Self::Cautions => "Cautions",
            Self::Keys => "Keys",
            Self::PassBefore => "Pass before",
            Self::PassAfter => "Pass after",
            Self::Back => "A step back",
            Self::On => "A step on",
            Self::FarBack => "Ten steps back",
            Self::FarOn => "Ten steps on",
            Self::Start => "Start of the pass",
            Self::End => "End of the pass",
            Self::Play => "Play or pause",
            Self::Stop => "Stop proving",
            Self::Quit => "Quit",
        }
    }

    /// What it does, in a sentence.
    pub const fn tooltip(self) -> &'static str {
        match self {
            Self::Open => "Open a job file, or one or more programs",
            Self::OpenDemo => "Open the job that is built in",
            Self::SaveJob => "Write the job file, and its programs beside it where they are not there yet",
            Self::EditJob => "Change limits, blank, bed and passes; the job is proven again at once",
            Self::PictureOfWindow => "Write what the window shows as a PNG file",
            Self::PictureOfPlan => "Write a drawing of the block at this moment as a PNG file",
            Self::PictureOfStrip => "Write a drawing of the thickness of cut as a PNG file",
            Self::Dark => "Change between dark and light",
            Self::Fit => "Show the whole block and every path",
            Self::Finer => "Prove with cells half as wide: finer picture, slower",
            Self::Coarser => "Prove with cells twice as wide: coarser picture, faster",
            Self::Cautions => "What a proof cannot promise",
            Self::Keys => "What the keys do",
            Self::PassBefore => "Show the pass before, at its end",
            Self::PassAfter => "Show the pass after, at its end",
            Self::Back => "Move the tool back by a two-hundredth of the pass",
            Self::On => "Move the tool on by a two-hundredth of the pass",
            Self::FarBack => "Move the tool back by a twentieth of the pass",
            Self::FarOn => "Move the tool on by a twentieth of the pass",
            Self::Start => "Move the tool to the start of the pass",
            Self::End => "Move the tool to the end of the pass",
            Self::Play => "Let the tool run along the pass, or hold it",
            Self::Stop => "Stop the proof under way; the last one stays",
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
            Self::EditJob => command(Key::E),
            Self::PictureOfWindow => command(Key::P),
            Self::Dark => command(Key::D),
            Self::Fit => plain(Key::F),
            Self::Keys => plain(Key::F1),
            Self::PassBefore => plain(Key::ArrowUp),
            Self::PassAfter => plain(Key::ArrowDown),
            Self::Back => plain(Key::ArrowLeft),
            Self::On => plain(Key::ArrowRight),
            Self::FarBack => KeyboardShortcut::new(Modifiers::SHIFT, Key::ArrowLeft),
            Self::FarOn => KeyboardShortcut::new(Modifiers::SHIFT, Key::ArrowRight),
            Self::Start => plain(Key::Home),
            Self::End => plain(Key::End),
            Self::Play => plain(Key::Space),
            Self::Quit => command(Key::Q),
            Self::OpenDemo
            | Self::PictureOfPlan
            | Self::PictureOfStrip
            | Self::Finer
            | Self::Coarser
            | Self::Cautions
            | Self::Stop => return None,
        })
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
    }
}
