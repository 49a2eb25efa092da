//! The thread that proves while the window stays alive.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, SyncSender, TrySendError, channel, sync_channel};

use blockwright_core::job::Job;
use blockwright_core::proof::{Proof, Source};
use blockwright_core::prover::{Options, ProveError, Prover};
use blockwright_core::task::{Cancel, Progress, Task};

use crate::background::{self, caught};
use crate::trouble::Trouble;

/// Replies that may wait; the window takes them every frame, and reports of progress are dropped when full.
const WAITING_REPLIES: usize = 64;

/// A program longer than this, in bytes, is not read in the blink of an eye; its beginning is shown first.
const LONG: usize = 1 << 20;

/// Cells of the rough block, so many times as wide.
const ROUGHER: f64 = 4.0;

/// Wakes the window.
pub type Wake = Arc<dyn Fn() + Send + Sync>;

/// One thing to prove.
#[derive(Debug)]
struct Request {
    generation: u64,
    source: Source,
    options: Options,
    /// The paths are wanted before anything is measured.
    sketch: bool,
    cancel: Cancel,
}

/// What the worker says.
#[derive(Debug)]
enum Reply {
    Progress(u64, Progress),
    Sketch(u64, Arc<Proof>),
    Rough(u64, Arc<Proof>),
    Done(u64, Result<Arc<Proof>, Failure>),
}

/// What has come of a request.
#[derive(Debug, Clone)]
pub enum Taken {
    /// Paths alone, as of a job without a blank, and of long programs maybe only how they begin.
    Sketch(Arc<Proof>),
    /// The block with wide cells and nothing measured, to be looked at until the proof is there.
    Rough(Arc<Proof>),
    /// The proof.
    Proof(Arc<Proof>),
}

#[derive(Debug)]
enum Failure {
    Cancelled,
    Trouble(Trouble),
}

/// What became of the newest request.
#[derive(Debug, Default)]
pub enum State {
    /// Nothing is being proven.
    #[default]
    Idle,
    /// At work, this far.
    Proving(Progress),
    /// Stopped by the user: what is shown is older than the job.
    Stopped,
    /// It could not be proven.
    Failed(Trouble),
}

/// The window's end of the worker.
#[derive(Debug)]
pub struct Worker {
    requests: Option<Sender<Request>>,
    replies: Receiver<Reply>,
    generation: u64,
    cancel: Cancel,
    state: State,
}

impl Worker {
    /// Starts the thread. `wake` is called from it whenever there is something to look at.
    pub fn start(wake: Wake) -> Self {
        let (requests, incoming) = channel();
        let (outgoing, replies) = sync_channel(WAITING_REPLIES);
        let work = move || serve(&incoming, &outgoing, &wake);
        let started = background::start("proof", "the check", work, |_| {}).is_some();
        Self {
            requests: started.then_some(requests),
            replies,
            generation: 0,
            cancel: Cancel::new(),
            state: State::Idle,
        }
    }

    /// What became of the newest request.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// Whether work is under way.
    pub fn is_busy(&self) -> bool {
        matches!(self.state, State::Proving(_))
    }

    /// Proves this; whatever was being proven is stopped. With `sketch` the paths come first, as soon as the
    /// programs are read.
    pub fn prove(&mut self, source: Source, options: Options, sketch: bool) {
        self.cancel.raise();
        self.cancel = Cancel::new();
        self.generation += 1;
        let (generation, cancel) = (self.generation, self.cancel.clone());
        let request = Request { generation, source, options, sketch, cancel };
        let sent = self.requests.as_ref().is_some_and(|requests| requests.send(request).is_ok());
        self.state = if sent {
            State::Proving(Progress { doing: String::new(), done: 0.0 })
        } else {
            State::Failed(Trouble::own("the checking thread is not running"))
        };
    }

    /// Stops what is being proven.
    pub fn stop(&mut self) {
        self.cancel.raise();
        if self.is_busy() {
            self.generation += 1;
            self.state = State::Stopped;
        }
    }

    /// Takes what has come in; the newest that has come of the newest request is returned.
    pub fn take(&mut self) -> Option<Taken> {
        let mut done = None;
        while let Ok(reply) = self.replies.try_recv() {
            match reply {
                Reply::Progress(generation, progress) if generation == self.generation => {
                    self.state = State::Proving(progress);
                }
                Reply::Done(generation, result) if generation == self.generation => match result {
                    Ok(proof) => {
                        self.state = State::Idle;
                        done = Some(Taken::Proof(proof));
                    }
                    Err(Failure::Cancelled) => self.state = State::Stopped,
                    Err(Failure::Trouble(trouble)) => self.state = State::Failed(trouble),
                },
                Reply::Sketch(generation, sketch) if generation == self.generation => {
                    done = Some(Taken::Sketch(sketch));
                }
                Reply::Rough(generation, rough) if generation == self.generation => {
                    done = Some(Taken::Rough(rough));
                }
                Reply::Progress(..) | Reply::Sketch(..) | Reply::Rough(..) | Reply::Done(..) => {}
            }
        }
        done
    }
}

impl Drop for Worker {
    fn drop(&mut self) {
        self.cancel.raise();
    }
}

/// What can be drawn before the proof is there, the quicker first: how long programs begin, where there are any, and
/// all paths, where there is more to a proof than them.
fn sketches(source: &Source) -> Vec<Source> {
    let paths = Source { job: Arc::new(Job { blank: None, ..(*source.job).clone() }), ..source.clone() };
    let mut sketches = Vec::new();
    if source.programs.iter().any(|text| text.len() > LONG) {
        let programs = source.programs.iter().map(beginning).collect();
        sketches.push(Source { programs, ..paths.clone() });
    }
    if source.job.blank.is_some() {
        sketches.push(paths);
    }
    sketches
}

/// The first whole lines of a long text, or all of one that is not long.
fn beginning(text: &Arc<[u8]>) -> Arc<[u8]> {
    let Some(part) = text.get(..LONG).filter(|_| text.len() > LONG) else { return Arc::clone(text) };
    let lines = part.iter().rposition(|byte| matches!(byte, b'\n' | b'\r')).map_or(0, |end| end + 1);
    part.get(..lines).unwrap_or_default().into()
}

fn serve(incoming: &Receiver<Request>, outgoing: &SyncSender<Reply>, wake: &Wake) {
    let mut prover = Prover::new();
    while let Ok(mut request) = incoming.recv() {
        // Only the newest counts.
        while let Ok(newer) = incoming.try_recv() {
            request = newer;
        }
        let generation = request.generation;
        let report = |progress: Progress| {
            if let Ok(()) | Err(TrySendError::Disconnected(_)) =
                outgoing.try_send(Reply::Progress(generation, progress))
            {
                wake();
            }
        };
        let task = Task { cancel: &request.cancel, report: &report };
        let proven = caught(|| {
            for source in request.sketch.then(|| sketches(&request.source)).into_iter().flatten() {
                // What is wrong with the job is told by the proof itself.
                if let Ok(sketch) = prover.prove(&source, &request.options, task)
                    && outgoing.send(Reply::Sketch(generation, Arc::new(sketch))).is_ok()
                {
                    wake();
                }
            }
            if request.sketch && request.source.job.blank.is_some() {
                let rough = Options { rough: Some(ROUGHER), ..request.options };
                if let Ok(rough) = prover.prove(&request.source, &rough, task)
                    && outgoing.send(Reply::Rough(generation, Arc::new(rough))).is_ok()
                {
                    wake();
                }
            }
            prover.prove(&request.source, &request.options, task)
        });
        let result = match proven {
            Ok(Ok(proof)) => Ok(Arc::new(proof)),
            Ok(Err(ProveError::Cancelled)) => Err(Failure::Cancelled),
            Ok(Err(ProveError::Unusable(what))) => {
                Err(Failure::Trouble(Trouble::at("The job", what, "correct it and open it again")))
            }
            Err(words) => {
                // What a broken run left behind is not to be built on.
                prover = Prover::new();
                Err(Failure::Trouble(background::broke_off("the check", &words)))
            }
        };
        if outgoing.send(Reply::Done(generation, result)).is_err() {
            return;
        }
        wake();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use blockwright_core::proof::Verdict;

    #[test]
    fn the_beginning_of_a_long_text_ends_with_a_line() {
        let short: Arc<[u8]> = Arc::from(&b"G0\nG1"[..]);
        assert!(Arc::ptr_eq(&beginning(&short), &short));
        let line = b"G1 X1.2345\r\n";
        let long: Arc<[u8]> = line.repeat(LONG / line.len() + 5).into();
        let part = beginning(&long);
        assert!(part.ends_with(b"\n") && part.len() <= LONG && part.len() + line.len() > LONG);
        assert_eq!(part[..], long[..part.len()]);
        let endless: Arc<[u8]> = vec![b'X'; LONG + 1].into();
        assert!(beginning(&endless).is_empty());
    }

    #[test]
    fn a_rough_block_has_wide_cells_and_proves_nothing() {
        let source = crate::open::demo_job().expect("the demo holds together").source;
        let (cancel, mut prover) = (Cancel::new(), Prover::new());
        let mut prove = |rough| {
            let options = Options { cell: Some(0.01), rough, ..Options::default() };
            prover.prove(&source, &options, Task::quiet(&cancel)).expect("provable")
        };
        let rough = prove(Some(ROUGHER));
        assert!((rough.start.as_ref().expect("a blank").grid().cell - 0.04).abs() < 1e-12);
        assert!(rough.block_at(0, 1.0).is_some() && rough.wall().is_some());
        assert!(rough.findings.is_empty() && rough.passes.iter().all(|pass| pass.along_outline.is_none()));
        assert_eq!(rough.verdict, Verdict::Unproven);
        let whole = prove(None);
        assert!((whole.start.as_ref().expect("a blank").grid().cell - 0.01).abs() < 1e-12);
        assert!(!whole.findings.is_empty());
    }
}
