//! `check` on many jobs: a line for each, several at a time, the worst exit status.

use std::io::Write;
use std::path::PathBuf;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

use blockwright_core::proof;
use blockwright_core::units::Units;

use super::args::Prove;
use super::commands::prove_quietly;
use super::{OWN_FAULT, UNUSABLE, say};
use crate::background::{broke_off, caught};
use crate::open;
use crate::trouble::Trouble;

/// What came of one job.
struct Told {
    status: u8,
    line: String,
}

/// Checks every job and prints a line for each, in the order in which they were named, as soon as those before it are
/// done. Gives the worst exit status: 0 no findings, 1 findings, 2 one that cannot be used, 3 a fault of the tool's own.
pub(super) fn many(args: &Prove, out: &mut dyn Write) -> Result<u8, Trouble> {
    let jobs = &args.jobs;
    let next = AtomicUsize::new(0);
    let (give, take) = mpsc::sync_channel::<(usize, Told)>(jobs.len());
    // A check has threads of its own; so many at a time keep all cores busy while one of them reads files.
    let cores = thread::available_parallelism().map_or(1, usize::from);
    thread::scope(|scope| {
        for worker in 0..cores.min(jobs.len()) {
            let (give, next) = (give.clone(), &next);
            let work = move || {
                while let Some((index, job)) = take_next(next, jobs) {
                    if give.send((index, told(args, job))).is_err() {
                        return;
                    }
                }
            };
            let named = thread::Builder::new().name(format!("check {worker}"));
            named.spawn_scoped(scope, work).map_err(|error| {
                Trouble::own(format!("no thread could be started to check with ({error})"))
            })?;
        }
        drop(give);
        let mut waiting: Vec<Option<Told>> = jobs.iter().map(|_| None).collect();
        let (mut printed, mut worst) = (0, 0);
        for (index, one) in take {
            waiting[index] = Some(one);
            while let Some(one) = waiting.get_mut(printed).and_then(Option::take) {
                say(out, &one.line);
                worst = worst.max(one.status);
                printed += 1;
            }
        }
        Ok(worst)
    })
}

fn take_next<'a>(next: &AtomicUsize, jobs: &'a [PathBuf]) -> Option<(usize, &'a PathBuf)> {
    let index = next.fetch_add(1, Ordering::Relaxed);
    jobs.get(index).map(|job| (index, job))
}

/// One job, whatever becomes of it.
fn told(args: &Prove, job: &PathBuf) -> Told {
    let checked = caught(|| check(args, job)).unwrap_or_else(|words| Err(broke_off("the check", &words)));
    let file = job.display().to_string();
    checked.unwrap_or_else(|trouble| {
        let status = if trouble.own_fault { OWN_FAULT } else { UNUSABLE };
        let line = if args.json {
            proof::failed_line(&file, status, &trouble.to_string())
        } else {
            format!("{file}: {trouble}\n")
        };
        Told { status, line }
    })
}

fn check(args: &Prove, job: &PathBuf) -> Result<Told, Trouble> {
    let opened = open::paths(std::slice::from_ref(job), args.units.map(Units::from))?;
    // Several are under way at once: none of them has the terminal's line for itself.
    let proof = prove_quietly(&opened, args.cell)?;
    let status = proof::status(&proof);
    let file = job.display().to_string();
    let line = if args.json {
        proof::json_line(&proof, &file, status)
    } else {
        format!("{file}: {}\n", proof::verdict_words(&proof))
    };
    Ok(Told { status, line })
}
