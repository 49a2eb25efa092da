//! Everything that can be asked of the window: one table for menus, keys, help, the searchable list and tests.

mod table;

use eframe::egui::KeyboardShortcut;

pub use table::Command;

/// A menu of the bar at the top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Menu {
    /// The job and its files.
    Job,
    /// The blank, and how the outline lies on it.
    Blank,
    /// The passes.
    Passes,
    /// The program of the selected pass.
    Program,
    /// Pictures to write.
    Picture,
    /// What is shown, and how.
    View,
    /// Help.
    Help,
    /// In no menu: by key, or at its place in the window.
    Off,
}

impl Menu {
    /// The menus, from left to right.
    pub(super) const ALL: [Self; 7] =
        [Self::Job, Self::Blank, Self::Passes, Self::Program, Self::Picture, Self::View, Self::Help];

    /// What it is called.
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::Job => "Job",
            Self::Blank => "Blank",
            Self::Passes => "Passes",
            Self::Program => "Program",
            Self::Picture => "Picture",
            Self::View => "View",
            Self::Help => "Help",
            Self::Off => "",
        }
    }

    /// What stands over a group of its commands, where anything does.
    pub(super) const fn heading(self, group: u8) -> Option<&'static str> {
        match (self, group) {
            (Self::View, 0) => Some("Picture"),
            (Self::View, 1) => Some("Findings"),
            (Self::View, 2) => Some("Panes"),
            (Self::View, 3) => Some("Block"),
            (Self::View, 4) => Some("How it is shown"),
            _ => None,
        }
    }

    /// Its commands from top to bottom, group by group.
    pub(super) fn groups(self) -> Vec<(u8, Vec<Command>)> {
        let mut groups: Vec<(u8, Vec<Command>)> = Vec::new();
        for command in Command::ALL.iter().filter(|command| command.row().menu == self) {
            let group = command.row().group;
            match groups.last_mut().filter(|(last, _)| *last == group) {
                Some((_, commands)) => commands.push(*command),
                None => groups.push((group, vec![*command])),
            }
        }
        groups
    }
}

/// What must be there for a command to do anything.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Needs {
    /// It can always be asked for; where nothing comes of it, it says why.
    Nothing,
    /// An earlier state of the job.
    Earlier,
    /// A state of the job that was taken back.
    Later,
    /// A check under way.
    Checking,
}

/// A row of the table.
#[derive(Debug, Clone, Copy)]
struct Row {
    menu: Menu,
    group: u8,
    keys: Option<KeyboardShortcut>,
    label: &'static str,
    tip: &'static str,
    typed: bool,
    needs: Needs,
}

impl Command {
    /// What it is called in menus.
    pub const fn label(self) -> &'static str {
        self.row().label
    }

    /// What it does, in a sentence.
    pub const fn tooltip(self) -> &'static str {
        self.row().tip
    }

    /// Its key.
    pub const fn shortcut(self) -> Option<KeyboardShortcut> {
        self.row().keys
    }

    /// Whether its key counts while something is being typed.
    pub const fn works_while_typing(self) -> bool {
        self.row().typed
    }

    /// What must be there for it to do anything.
    pub(super) const fn needs(self) -> Needs {
        self.row().needs
    }

    /// The commands that have a key, those with more modifier keys first, so that a plainer key does not take theirs.
    pub(super) fn by_keys() -> Vec<(Self, KeyboardShortcut)> {
        let keyed = Self::ALL.iter().filter_map(|command| Some((*command, command.shortcut()?)));
        let mut all: Vec<(Self, KeyboardShortcut)> = keyed.collect();
        all.sort_by_key(|(_, keys)| std::cmp::Reverse(modifiers(*keys)));
        all
    }
}

/// How many modifier keys are held for it.
fn modifiers(keys: KeyboardShortcut) -> usize {
    let held = keys.modifiers;
    [held.alt, held.shift, held.ctrl || held.command || held.mac_cmd].into_iter().filter(|held| *held).count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_key_or_a_name() {
        for (index, one) in Command::ALL.iter().enumerate() {
            for other in &Command::ALL[index + 1..] {
                if let (Some(a), Some(b)) = (one.shortcut(), other.shortcut()) {
                    assert_ne!(a, b, "{one:?} and {other:?}");
                }
                assert_ne!(one.label(), other.label(), "{one:?} and {other:?}");
            }
        }
    }

    #[test]
    fn keys_with_modifiers_come_first() {
        let order = Command::by_keys();
        let place = |wanted| order.iter().position(|(command, _)| *command == wanted).expect("has a key");
        for (more, plainer) in [
            (Command::FarBack, Command::Back),
            (Command::FarOn, Command::On),
            (Command::SaveProgram, Command::SaveJob),
            (Command::FindBefore, Command::FindNext),
            (Command::Find, Command::Fit),
            (Command::TakeBack, Command::Undo),
            (Command::DoAgain, Command::Redo),
            (Command::PassUp, Command::PassBefore),
            (Command::LineBefore, Command::PassBefore),
            (Command::LineAfter, Command::PassAfter),
        ] {
            assert!(place(more) < place(plainer), "{more:?}");
        }
    }

    #[test]
    fn the_menus_have_every_command_but_those_without_one() {
        let in_menus: usize = Menu::ALL.iter().flat_map(|menu| menu.groups()).map(|(_, all)| all.len()).sum();
        let off = Command::ALL.iter().filter(|command| command.row().menu == Menu::Off);
        assert_eq!(in_menus + off.clone().count(), Command::ALL.len());
        assert!(off.into_iter().all(|command| command.shortcut().is_some() || *command == Command::Stop));
    }

    #[test]
    fn a_key_counts_while_typing_where_its_row_says_so() {
        assert!(Command::Find.works_while_typing() && !Command::Fit.works_while_typing());
    }
}
