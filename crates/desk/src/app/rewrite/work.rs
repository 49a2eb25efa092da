//! Work that a small window has done beside the window's thread. It is stopped when the small window closes.

use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::sync::{Arc, Mutex};

use blockwright_core::rewrite::{NotWritten, Refusal};
use blockwright_core::task::{Cancel, Cancelled, Progress, Task};
use eframe::egui::{Button, Context, Ui};

use crate::background;
use crate::trouble::Trouble;

/// Why nothing has come of the work.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::app) enum Failed {
    Stopped,
    Refused(Refusal),
    Trouble(Trouble),
}

impl Failed {
    /// Why, in words.
    pub(in crate::app) fn words(&self) -> String {
        match self {
            Self::Stopped => "Stopped.".to_owned(),
            Self::Refused(refusal) => refusal.message.clone(),
            Self::Trouble(trouble) => trouble.to_string(),
        }
    }
}

impl From<Cancelled> for Failed {
    fn from(_: Cancelled) -> Self {
        Self::Stopped
    }
}

impl From<Trouble> for Failed {
    fn from(trouble: Trouble) -> Self {
        Self::Trouble(trouble)
    }
}

impl From<NotWritten> for Failed {
    fn from(error: NotWritten) -> Self {
        match error {
            NotWritten::Refused(refusal) => Self::Refused(refusal),
            NotWritten::Cancelled(cancelled) => cancelled.into(),
        }
    }
}

/// At most one piece of work.
#[derive(Debug)]
pub(in crate::app) struct Work<T>(Option<Running<T>>);

#[derive(Debug)]
struct Running<T> {
    cancel: Cancel,
    progress: Arc<Mutex<Option<Progress>>>,
    outcome: Receiver<Result<T, Failed>>,
}

impl<T> Default for Work<T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<T> Drop for Running<T> {
    fn drop(&mut self) {
        self.cancel.raise();
    }
}

impl<T: Send + 'static> Work<T> {
    /// Starts work; what was being done before is stopped.
    pub(in crate::app) fn start(
        &mut self,
        ctx: &Context,
        work: impl FnOnce(Task<'_>) -> Result<T, Failed> + Send + 'static,
    ) {
        let (cancel, progress) = (Cancel::new(), Arc::new(Mutex::new(None)));
        let (answer, outcome) = channel();
        let running = Running { cancel: cancel.clone(), progress: Arc::clone(&progress), outcome };
        let (ctx, woken) = (ctx.clone(), ctx.clone());
        let run = move || {
            let report = |told: Progress| {
                if let Ok(mut progress) = progress.lock() {
                    *progress = Some(told);
                }
                ctx.request_repaint();
            };
            work(Task { cancel: &cancel, report: &report })
        };
        let done = move |done: Result<_, Trouble>| {
            // A window that has gone needs no answer.
            let _ = answer.send(done.unwrap_or_else(|trouble| Err(trouble.into())));
            woken.request_repaint();
        };
        // Without a thread the answer's end is dropped, and that is told.
        drop(background::start("rewrite", "the work", run, done));
        self.0 = Some(running);
    }

    /// What has come of it, once.
    pub(in crate::app) fn take(&mut self) -> Option<Result<T, Failed>> {
        let outcome = match self.0.as_ref()?.outcome.try_recv() {
            Ok(outcome) => outcome,
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => Err(background::not_started("the work").into()),
        };
        self.0 = None;
        Some(outcome)
    }

    pub(in crate::app) fn is_running(&self) -> bool {
        self.0.is_some()
    }

    /// How far it is, with a button that stops it; true when it was stopped.
    pub(in crate::app) fn show(&mut self, ui: &mut Ui) -> bool {
        let Some(running) = &self.0 else { return false };
        let progress = running.progress.lock().ok().and_then(|progress| progress.clone());
        let words = match progress {
            Some(Progress { doing, done }) => format!("{doing}… {:.0} %", done * 100.0),
            None => "Starting…".to_owned(),
        };
        let stopped = ui.horizontal(|ui| {
            ui.label(words);
            ui.add(Button::new("Stop").small()).clicked()
        });
        if stopped.inner {
            self.0 = None;
        }
        stopped.inner
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outcome<T: Send + 'static>(work: &mut Work<T>) -> Result<T, Failed> {
        loop {
            if let Some(outcome) = work.take() {
                return outcome;
            }
            std::thread::yield_now();
        }
    }

    #[test]
    fn work_comes_back_or_tells_why_not() {
        let ctx = Context::default();
        let mut work = Work::default();
        work.start(&ctx, |_| Ok(7));
        assert_eq!(outcome(&mut work), Ok(7));
        assert!(!work.is_running() && work.take().is_none());
        work.start(&ctx, |_| panic!("as asked"));
        assert!(matches!(outcome(&mut work), Err(Failed::Trouble(trouble)) if trouble.own_fault));
    }

    #[test]
    fn new_work_stops_the_old() {
        let ctx = Context::default();
        let (tell, told) = channel();
        let mut work: Work<u8> = Work::default();
        work.start(&ctx, move |task| {
            while !task.cancel.is_raised() {
                std::thread::yield_now();
            }
            let _ = tell.send(());
            Err(Failed::Stopped)
        });
        work.start(&ctx, |_| Ok(1));
        told.recv().expect("stopped");
        assert_eq!(outcome(&mut work), Ok(1));
    }
}
