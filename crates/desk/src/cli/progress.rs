//! How far long work is, on a terminal.

use std::io::{IsTerminal as _, Write as _, stderr};
use std::sync::Mutex;

use blockwright_core::task::{Cancel, Progress, Task};

/// Columns that a terminal surely has.
const COLUMNS: usize = 78;

/// Does work that takes a while. Where standard error is a terminal, one line there says how far it is, and is gone
/// when the work is done; anywhere else nothing is said. Ctrl+C ends the program, and nothing is left half written.
pub(super) fn shown<T>(work: impl FnOnce(Task<'_>) -> T) -> T {
    let cancel = Cancel::new();
    if !stderr().is_terminal() {
        return work(Task::quiet(&cancel));
    }
    let last = Mutex::new(String::new());
    let report = |progress: Progress| {
        let line = line(&progress);
        let Ok(mut last) = last.lock() else { return };
        if *last != line {
            // A terminal that has gone needs no line.
            let _ = write!(stderr(), "\r{line:COLUMNS$}");
            *last = line;
        }
    };
    let done = work(Task { cancel: &cancel, report: &report });
    if last.lock().is_ok_and(|last| !last.is_empty()) {
        let _ = write!(stderr(), "\r{:COLUMNS$}\r", "");
    }
    done
}

fn line(progress: &Progress) -> String {
    let words = blockwright_core::names::shown(&progress.doing);
    let line = format!("{:3.0} %  {words}", progress.done * 100.0);
    line.chars().take(COLUMNS).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_of_progress_fits_a_terminal() {
        let told = line(&Progress { doing: "a pass with a name ".repeat(20), done: 0.5 });
        assert!(told.starts_with(" 50 %  a pass") && told.chars().count() == COLUMNS, "{told}");
    }
}
