//! Work beside the window whose last result stays until the next one is there.

use std::sync::mpsc::{Receiver, TryRecvError, channel};

use blockwright_core::task::Cancel;
use eframe::egui::Context;

use crate::background;

/// What was made last, and what is being made.
pub(super) struct Later<K, V> {
    made: Option<(K, V)>,
    making: Option<Making<K, V>>,
    /// What could not be made: not to be tried again and again.
    failed: Option<K>,
}

struct Making<K, V> {
    key: K,
    cancel: Cancel,
    answers: Receiver<V>,
}

impl<K, V> Default for Later<K, V> {
    fn default() -> Self {
        Self { made: None, making: None, failed: None }
    }
}

impl<K, V> std::fmt::Debug for Later<K, V> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Later").field("making", &self.making.is_some()).finish_non_exhaustive()
    }
}

impl<K, V> Drop for Later<K, V> {
    fn drop(&mut self) {
        self.stop();
    }
}

impl<K, V> Later<K, V> {
    /// Stops what is being made.
    pub(super) fn stop(&mut self) {
        if let Some(making) = self.making.take() {
            making.cancel.raise();
        }
    }

    /// What is being made.
    pub(super) fn making(&self) -> Option<&K> {
        self.making.as_ref().map(|making| &making.key)
    }

    /// What was made last, and of what.
    pub(super) fn made(&self) -> Option<&(K, V)> {
        self.made.as_ref()
    }

    /// Takes what has been made in the meantime; true when there is something new.
    pub(super) fn take(&mut self) -> bool {
        let Some(making) = &self.making else { return false };
        let answer = match making.answers.try_recv() {
            Ok(answer) => Some(answer),
            Err(TryRecvError::Disconnected) => None,
            Err(TryRecvError::Empty) => return false,
        };
        let Some(Making { key, .. }) = self.making.take() else { return false };
        match answer {
            Some(answer) => self.made = Some((key, answer)),
            None => self.failed = Some(key),
        }
        true
    }
}

impl<K: PartialEq, V: Send + 'static> Later<K, V> {
    /// Has something made, unless it is there already; what is under way is awaited first.
    pub(super) fn want(
        &mut self,
        ctx: &Context,
        name: &str,
        key: K,
        make: impl FnOnce(&Cancel) -> V + Send + 'static,
    ) {
        let there = self.made.as_ref().is_some_and(|(made, _)| *made == key);
        if there || self.making.is_some() || self.failed.as_ref() == Some(&key) {
            return;
        }
        let (answer, answers) = channel();
        let (cancel, ctx) = (Cancel::new(), ctx.clone());
        let flag = cancel.clone();
        let done = move |made| {
            match made {
                // A window that has gone needs no answer.
                Ok(made) => drop(answer.send(made)),
                Err(trouble) => background::tell(&ctx, trouble),
            }
            drop(answer);
            ctx.request_repaint();
        };
        if background::start(name, "the drawing", move || make(&flag), done).is_some() {
            self.making = Some(Making { key, cancel, answers });
        } else {
            self.failed = Some(key);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_breaks_is_told_and_not_tried_again() {
        let (mut later, ctx) = (Later::<u32, u32>::default(), Context::default());
        later.want(&ctx, "one", 1, |_| panic!("no such pass"));
        while !later.take() {
            std::thread::yield_now();
        }
        assert!(background::told(&ctx).is_some_and(|told| told.what.contains("no such pass")));
        later.want(&ctx, "one", 1, |_| 10);
        assert_eq!((later.made(), later.making()), (None, None));
    }

    #[test]
    fn the_last_result_stays_until_the_next_is_there() {
        let (mut later, ctx) = (Later::default(), Context::default());
        let (go, wait) = channel::<()>();
        later.want(&ctx, "one", 1, |_| 10);
        while !later.take() {
            std::thread::yield_now();
        }
        later.want(&ctx, "two", 2, move |_| {
            let _ = wait.recv();
            20
        });
        assert!(!later.take());
        assert_eq!((later.made(), later.making()), (Some(&(1, 10)), Some(&2)));
        go.send(()).expect("it waits");
        while !later.take() {
            std::thread::yield_now();
        }
        assert_eq!(later.made(), Some(&(2, 20)));
    }
}
