//! Work beside the window, and what a panic in it becomes: a message. Every thread of the desk is started here, which
//! `clippy.toml` holds it to.

use std::panic::{AssertUnwindSafe, PanicHookInfo, catch_unwind};
use std::sync::{Mutex, PoisonError};
use std::thread::{self, JoinHandle};

use eframe::egui::{Context, Id};

use crate::trouble::{Trouble, panic_words};

/// Where in the code the last panic was, so far as [`quiet`] has been called.
static LAST: Mutex<Option<String>> = Mutex::new(None);

/// From now on a panic prints nothing by itself: its trace says nothing to a person, and names folders of the machine
/// that Blockwright was built on. Whoever catches it tells it.
pub fn quiet() {
    std::panic::set_hook(Box::new(|info: &PanicHookInfo<'_>| {
        let place = info.location().map(|place| format!("{}:{}", short(place.file()), place.line()));
        *LAST.lock().unwrap_or_else(PoisonError::into_inner) = place;
    }));
}

/// The end of a file's name: what lies in front of it is somebody's disk.
fn short(file: &str) -> String {
    let parts: Vec<&str> = file.split(['/', '\\']).filter(|part| !part.is_empty()).collect();
    parts[parts.len().saturating_sub(3)..].join("/")
}

/// Does some work; a panic in it becomes words.
///
/// # Errors
/// What broke, and where in the code so far as it is known.
pub fn caught<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|payload| {
        let words = panic_words(payload.as_ref());
        let place = LAST.lock().unwrap_or_else(PoisonError::into_inner).take();
        place.map_or_else(|| words.clone(), |place| format!("{words}, at {place}"))
    })
}

/// Does some work on a thread of its own, and hands what has come of it to `done` there: a panic as a fault of Blockwright's own. `None` when no thread could be started: `done` is gone then. `what` says in a sentence what breaks: "the check".
pub fn start<T>(
    name: &str,
    what: &'static str,
    work: impl FnOnce() -> T + Send + 'static,
    done: impl FnOnce(Result<T, Trouble>) + Send + 'static,
) -> Option<JoinHandle<()>> {
    let run = move || done(caught(work).map_err(|words| broke_off(what, &words)));
    #[expect(clippy::disallowed_methods, reason = "the one place where threads are started")]
    let started = thread::Builder::new().name(name.to_owned()).spawn(run);
    started.ok()
}

/// Work that a panic broke off, as a message.
pub fn broke_off(what: &str, words: &str) -> Trouble {
    Trouble::own(format!("{what} stopped unexpectedly ({words})"))
}

/// Why work could not even be started.
pub fn not_started(what: &str) -> Trouble {
    Trouble::own(format!("no thread could be started for {what}"))
}

/// Leaves a message for the window, from work that has no other way to it.
pub fn tell(ctx: &Context, trouble: Trouble) {
    ctx.data_mut(|data| data.insert_temp(Id::unique(TOLD), Some(trouble)));
    ctx.request_repaint();
}

/// Takes the message that was left.
pub fn told(ctx: &Context) -> Option<Trouble> {
    ctx.data_mut(|data| data.remove_temp::<Option<Trouble>>(Id::unique(TOLD))).flatten()
}

const TOLD: &str = "told from beside the window";

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;

    use super::*;

    #[test]
    fn a_panic_beside_the_window_becomes_a_message() {
        let (answer, answers) = channel();
        let work = || -> u32 { panic!("nothing is left") };
        assert!(start("test", "the drawing", work, move |done| drop(answer.send(done))).is_some());
        let trouble = answers.recv().expect("it answers").expect_err("it broke off");
        assert!(
            trouble.own_fault && trouble.what.contains("the drawing stopped unexpectedly (nothing is left"),
            "{trouble}"
        );
        assert_eq!(caught(|| 3), Ok(3));
    }

    #[test]
    fn no_disk_is_named() {
        let there = "/home/somebody/.cargo/registry/src/index-1a/lib-0.3/src/x11/util.rs";
        assert_eq!(short(there), "src/x11/util.rs");
        assert_eq!(short("C:\\Users\\somebody\\lib\\src\\x11\\a.rs"), "src/x11/a.rs");
    }

    #[test]
    fn a_message_is_taken_once() {
        let ctx = Context::default();
        tell(&ctx, Trouble::own("it broke"));
        assert!(told(&ctx).is_some_and(|trouble| trouble.what == "it broke"));
        assert_eq!(told(&ctx), None);
    }
}
