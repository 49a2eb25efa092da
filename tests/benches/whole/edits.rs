//! What a person changes of a job while it is open.

use std::sync::Arc;

use blockwright_core::job::Job;
use blockwright_core::proof::Source;
use blockwright_core::tool::Form;

/// An edit by its name; `true` does it and `false` takes it back.
pub(crate) type Edit = (&'static str, fn(&Source, bool) -> Source);

/// Edits that touch no metal.
pub(crate) const OF_WORDS: [Edit; 3] = [
    ("demo after an edit: a limit", |source, on| {
        of_job(source, |job| {
            if let Some(limits) = &mut job.contact {
                limits.light_below = Some(if on { 0.011 } else { 0.01 });
            }
        })
    }),
    ("demo after an edit: the bed", |source, on| {
        of_job(source, |job| job.bed_top = Some(if on { -1.05 } else { -1.04 }))
    }),
    ("demo after an edit: a name", |source, on| {
        of_job(source, |job| if on { "Skim" } else { "Scribe" }.clone_into(&mut job.passes[0].name))
    }),
];

/// Edits that move a pass.
pub(crate) const OF_METAL: [Edit; 3] = [
    ("demo after an edit: the zero of its 3rd pass", |source, on| {
        of_job(source, |job| job.passes[2].zero.origin[0] += if on { 0.001 } else { 0.0 })
    }),
    ("demo after an edit: a diameter", |source, on| {
        of_job(source, |job| {
            let number = job.passes[2].tool;
            for tool in job.tools.iter_mut().filter(|tool| tool.number == number) {
                if let Form::Flat { diameter } = &mut tool.form {
                    *diameter += if on { 0.001 } else { 0.0 };
                }
            }
        })
    }),
    ("demo after an edit: a line of its 2nd program", |source, on| {
        let mut source = source.clone();
        if on {
            let text =
                String::from_utf8_lossy(&source.programs[1]).replace("N110 G1 Y2.55", "N110 G1 Y2.549");
            source.programs[1] = Arc::from(text.as_bytes());
        }
        source
    }),
];

fn of_job(source: &Source, change: impl Fn(&mut Job)) -> Source {
    let mut job = (*source.job).clone();
    change(&mut job);
    Source { job: Arc::new(job), ..source.clone() }
}
