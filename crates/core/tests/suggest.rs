//! Jobs suggested by programs, written in as many hands as there are files in `hands`: what is suggested, from which
//! line, and that nothing of it counts as confirmed. All expectations derived; what words mean is common practice of the
//! trade, no source.

#![expect(clippy::expect_used, reason = "the helpers of a test may fail it")]

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::sync::Arc;

use blockwright_core::finding::Code;
use blockwright_core::job::{Basis, Job, Part, PathSource, read, write};
use blockwright_core::proof::{Beside, Source, Verdict};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::suggest::{self, Given, Suggested, table};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::tool::Form;
use blockwright_core::units::Units;

fn suggest(programs: &[(&str, &str)]) -> Suggested {
    let given: Vec<Given<'_>> =
        programs.iter().map(|(file, text)| Given { file, text: text.as_bytes() }).collect();
    suggest::read(&given, None, Task::quiet(&Cancel::new())).expect("nobody stops it")
}

/// A basis in few words.
fn short(basis: &Basis, several: bool) -> String {
    let at = |program: &str, line: u32| if several { format!("{program} {line}") } else { line.to_string() };
    match basis {
        Basis::Comment { program, line } => format!("comment {}", at(program, *line)),
        Basis::Word { word, program, line } => format!("{word} {}", at(program, *line)),
        Basis::Motion { program, line } => format!("motion {}", at(program, *line)),
        Basis::Paths => "paths".to_owned(),
        Basis::FileNames => "file names".to_owned(),
        Basis::Usual => "usual".to_owned(),
        Basis::Person => "person".to_owned(),
    }
}

/// The value of a part of a job, as the job file has it.
fn value(job: &Job, part: &Part) -> String {
    let file: serde_json::Value = serde_json::from_str(&write(job)).expect("JSON");
    let (at, key) = match part {
        Part::Tool(number, key) => {
            let index = job.tools.iter().position(|tool| tool.number == *number).expect("a tool");
            (file["tools"][index].clone(), *key)
        }
        Part::Pass(name, key) => {
            let index = job.passes.iter().position(|pass| pass.name == *name).expect("a pass");
            (file["passes"][index].clone(), *key)
        }
        Part::Job("passes") => {
            return job.passes.iter().map(|pass| pass.program.clone()).collect::<Vec<_>>().join(" ");
        }
        Part::Job("blank") => {
            let blank = job.blank.as_ref().expect("a blank");
            let PathSource::Vertices(edge) = &blank.edge else { return String::new() };
            let corner = |index: usize| format!("{},{}", edge[index].at.x, edge[index].at.y);
            return format!(
                "{} to {}, {} to {}",
                corner(0),
                corner(2),
                blank.top - blank.thickness,
                blank.top
            );
        }
        Part::Job("material") => (file["blank"].clone(), "material"),
        Part::Job(key) => (file.clone(), *key),
    };
    let found = if at[key].is_null() { &at["form"][key] } else { &at[key] };
    assert!(!found.is_null(), "{part:?} is in the job file");
    found.to_string().replace('"', "")
}

/// All that is suggested, a line each.
fn told(suggested: &Suggested) -> Vec<String> {
    let job = &suggested.job;
    let several = job.passes.len() > 1;
    let mut lines = vec![format!("units {} < {}", job.units.name(), short(&suggested.units, several))];
    lines.extend(job.name.iter().map(|name| format!("name {name}")));
    for (pass, name) in job.passes.iter().zip(&suggested.names) {
        lines.push(format!("pass {} < {}", pass.name, short(name, several)));
    }
    for entry in &job.to_confirm {
        let of = match &entry.part {
            Part::Tool(number, key) => format!("tool {number} {key}"),
            Part::Pass(name, key) if several => format!("{name} {key}"),
            Part::Pass(_, key) | Part::Job(key) => (*key).to_owned(),
        };
        let mut line = format!("{of} {} < {}", value(job, &entry.part), short(&entry.from, several));
        for other in &entry.against {
            let _ = write!(line, " ! {}", short(other, several));
        }
        // What else is said of a program that cannot be followed has a test of its own.
        let unfollowed = |note: &&String| !note.starts_with("The program could not be followed");
        if let Some(note) =
            entry.note.as_ref().filter(|_| entry.part != Part::Job("blank")).filter(unfollowed)
        {
            let _ = write!(line, " [{note}]");
        }
        lines.push(line);
    }
    lines.extend(suggested.notes.iter().map(|note| format!("note {note}")));
    lines
}

fn source(suggested: &Suggested, programs: &[(&str, &str)]) -> Source {
    let texts = suggested.order.iter().map(|index| Arc::from(programs[*index].1.as_bytes())).collect();
    Source { job: Arc::new(suggested.job.clone()), programs: texts, beside: Beside::default() }
}

#[expect(clippy::disallowed_methods, reason = "the programs are files")]
fn text_of(file: &Path) -> Option<String> {
    fs::read_to_string(file).ok()
}

#[test]
fn programs_in_different_hands_suggest_what_they_say() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/hands");
    let mut files: Vec<_> = fs::read_dir(folder)
        .expect("the folder")
        .map(|entry| entry.expect("a file").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "nc"))
        .collect();
    files.sort();
    assert!(files.len() >= 20);
    let mut wrong = String::new();
    for file in files {
        let text = text_of(&file).expect("text");
        let name = file.file_name().expect("a name").to_string_lossy().into_owned();
        let wanted = text_of(&file.with_extension("txt")).unwrap_or_default();
        let programs = [(name.as_str(), text.as_str())];
        let suggested = suggest(&programs);
        let got = told(&suggested).join("\n") + "\n";
        if got != wanted {
            let _ = write!(wrong, "---- {name}: wanted\n{wanted}---- got\n{got}");
        }
        nothing_counts_as_confirmed(&suggested, &programs);
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// The job can be read back, its check names every suggestion, and its verdict is never that all is well.
fn nothing_counts_as_confirmed(suggested: &Suggested, programs: &[(&str, &str)]) {
    let job = &suggested.job;
    assert_eq!(read(write(job).as_bytes()).as_ref(), Ok(job));
    for pass in &job.passes {
        let asked = |key: &str| {
            job.to_confirm.iter().any(|entry| entry.part == Part::Pass(pass.name.clone(), key_of(key)))
        };
        assert!(asked("tool") && asked("zero"), "{}", pass.name);
        assert_eq!(asked("allowance"), pass.allowance.is_some(), "{}", pass.name);
        assert_eq!(asked("bottom"), pass.bottom.is_some(), "{}", pass.name);
    }
    for tool in &job.tools {
        let asked =
            |key: &str| job.to_confirm.iter().any(|entry| entry.part == Part::Tool(tool.number, key_of(key)));
        assert!(asked("form"), "tool {}", tool.number);
        assert_eq!(asked("flutes"), tool.flutes.is_some(), "tool {}", tool.number);
        assert_eq!(asked("stickout"), tool.stickout.is_some(), "tool {}", tool.number);
        assert_eq!(asked("flute_length"), tool.flute_length.is_some(), "tool {}", tool.number);
    }
    let options = Options { cell: Some(job.units.pick(0.02, 0.5)), ..Options::default() };
    let cancel = Cancel::new();
    let proof =
        Prover::new().prove(&source(suggested, programs), &options, Task::quiet(&cancel)).expect("a proof");
    assert_ne!(proof.verdict, Verdict::Clear);
    let found: Vec<_> = proof.findings.iter().filter(|finding| finding.code == Code::Unconfirmed).collect();
    assert_eq!(found.len(), 1, "one finding for all that waits");
    let finding = found[0];
    for entry in &job.to_confirm {
        assert!(finding.message.contains(&entry.from.to_string()), "{entry}: {}", finding.message);
    }
}

/// Keys are compared as the job has them.
fn key_of(key: &str) -> &'static str {
    match key {
        "tool" => "tool",
        "zero" => "zero",
        "allowance" => "allowance",
        "bottom" => "bottom",
        "form" => "form",
        "flutes" => "flutes",
        "stickout" => "stickout",
        _ => "flute_length",
    }
}

/// A program that feeds across at a depth, under a head of its own.
fn program(head: &str, z: f64) -> String {
    format!("{head}\nG20 G90 G54\nM3 S2000\nG0 X-1. Y0 Z1.\nG1 Z{z} F10.\nX4.\nG0 Z1.\nM30\n")
}

#[test]
fn several_programs_bring_several_tools_in_their_order() {
    let [a, b, c] = [
        program("O1 (LAMP BLOCK)\n(ROUGH LEAVE .06)\nT1 M6 (1/2 EM)", -0.5),
        program("O2 (LAMP BLOCK)\n(FINISH)\nT2 M6 (3/8 EM 4FL)", -0.5),
        program("O3 (LAMP BLOCK)\n(UNDERCUT)\nT3 M6 (3/4 DOVETAIL 10 DEG)", -0.6),
    ];
    // As they happen to lie in the folder.
    let programs = [("b10.nc", c.as_str()), ("b2.nc", b.as_str()), ("b1.nc", a.as_str())];
    let suggested = suggest(&programs);
    assert_eq!(suggested.order, [2, 1, 0]);
    let job = &suggested.job;
    assert_eq!(job.name.as_deref(), Some("LAMP BLOCK"));
    let passes: Vec<(&str, u32, Option<f64>)> =
        job.passes.iter().map(|pass| (pass.name.as_str(), pass.tool, pass.allowance)).collect();
    assert_eq!(passes, [("ROUGH LEAVE .06", 1, Some(0.06)), ("FINISH", 2, Some(0.0)), ("UNDERCUT", 3, None)]);
    assert_eq!(job.tools.len(), 3);
    assert_eq!(job.outline, Some(PathSource::FromPass("FINISH".to_owned())));
    assert!(told(&suggested).contains(&"passes b1.nc b2.nc b10.nc < file names".to_owned()));
    // The deepest cut, and all that is swept.
    assert_eq!(value(job, &Part::Job("blank")), "-1.475,-0.475 to 4.475,0.475, -0.6 to 0");
    nothing_counts_as_confirmed(&suggested, &programs);
}

#[test]
fn one_number_with_two_descriptions_is_told_and_not_resolved() {
    let a = program("(ROUGH)\nT1 M6 (1/2 EM)", -0.5);
    let b = program("(SECOND)\nT1 M6 (3/8 BALL)", -0.4);
    let same = program("(THIRD)\nT1 M6 (.5 DIA 4 FLUTE)", -0.4);
    let suggested = suggest(&[("1.nc", &a), ("2.nc", &b), ("3.nc", &same)]);
    assert_eq!(suggested.job.tools.len(), 1);
    assert_eq!(suggested.job.tools[0].form, Form::Flat { diameter: 0.5 });
    let told = told(&suggested);
    assert!(
        told.contains(&"tool 1 form {diameter:0.5,kind:flat} < comment 1.nc 2 ! comment 2.nc 2".to_owned())
            || told.contains(
                &"tool 1 form {kind:flat,diameter:0.5} < comment 1.nc 2 ! comment 2.nc 2".to_owned()
            ),
        "{told:#?}"
    );
    assert!(told.contains(&"tool 1 flutes 4 < comment 3.nc 2".to_owned()), "{told:#?}");
    let message = table(&suggested);
    assert!(message.contains("but the comment on line 2 of 2.nc says otherwise"), "{message}");
}

#[test]
fn what_contradicts_itself_is_told() {
    let two = program("(ROUGH LEAVE .06)\n(LEAVE .03)\n(DEPTH .6)\nT1 M6 (1/2 EM)", -0.5);
    let told = told(&suggest(&[("1.nc", &two)]));
    for line in ["allowance 0.06 < comment 1 ! comment 2", "bottom -0.6 < comment 3 ! motion 8"] {
        assert!(told.contains(&line.to_owned()), "{told:#?}");
    }
    let other_zero = program("(A)", -0.5).replace("G54", "G55");
    let suggested = suggest(&[("1.nc", &two), ("2.nc", &other_zero)]);
    let zeros = suggested.job.to_confirm.iter().filter(|entry| matches!(entry.part, Part::Pass(_, "zero")));
    for (entry, word) in zeros.zip(["G54", "G55"]) {
        assert!(entry.note.as_ref().is_some_and(|note| note.contains(word) && note.contains("elsewhere")));
    }
    let numbers = [program("O9", -0.5), program("O4", -0.5)];
    let suggested = suggest(&[("1.nc", &numbers[0]), ("2.nc", &numbers[1])]);
    let order =
        suggested.job.to_confirm.iter().find(|entry| entry.part == Part::Job("passes")).expect("asked");
    assert_eq!((suggested.order, order.against.len()), (vec![0, 1], 1));
}

#[test]
fn tools_without_a_number_get_one() {
    let a = program("(A)\nT2 M6 (1/2 EM)", -0.5);
    let b = program("(B)\n(1/2 EM)", -0.4);
    let c = program("(C)\n(1/4 BALL)", -0.4);
    let d = program("(D)", -0.4);
    let suggested = suggest(&[("1.nc", &a), ("2.nc", &b), ("3.nc", &c), ("4.nc", &d)]);
    let tools: Vec<u32> = suggested.job.passes.iter().map(|pass| pass.tool).collect();
    assert_eq!(tools, [2, 2, 1, 3]);
    let from: Vec<&Basis> = suggested
        .job
        .to_confirm
        .iter()
        .filter(|entry| matches!(entry.part, Part::Pass(_, "tool")))
        .map(|entry| &entry.from)
        .collect();
    assert!(matches!(from[0], Basis::Word { .. }) && from[1..].iter().all(|from| **from == Basis::Usual));
}

#[test]
fn units_are_those_of_the_programs_or_asked_for() {
    let inch = program("(A)", -0.5);
    let silent = inch.replace("G20 ", "");
    let metric = inch.replace("G20", "G21");
    let units = |programs: &[(&str, &str)]| {
        let suggested = suggest(programs);
        let asked = suggested.job.to_confirm.iter().any(|entry| entry.part == Part::Job("units"));
        (suggested.job.units, short(&suggested.units, true), asked)
    };
    assert_eq!(units(&[("1.nc", &inch)]), (Units::Inch, "G20 1.nc 2".to_owned(), false));
    assert_eq!(units(&[("1.nc", &metric)]), (Units::Mm, "G21 1.nc 2".to_owned(), false));
    assert_eq!(units(&[("1.nc", &silent)]), (Units::Inch, "usual".to_owned(), true));
    assert_eq!(units(&[("1.nc", &silent), ("2.nc", &metric)]), (Units::Mm, "G21 2.nc 2".to_owned(), true));
    // A job in millimeters of programs in inches: its lengths are converted.
    let given = [Given { file: "1.nc", text: inch.as_bytes() }];
    let suggested =
        suggest::read(&given, Some(Units::Mm), Task::quiet(&Cancel::new())).expect("nobody stops it");
    assert_eq!((suggested.job.units, suggested.job.passes[0].bottom), (Units::Mm, Some(-12.7)));
    assert_eq!(suggested.units, Basis::Person);
}

#[test]
fn programs_with_nothing_in_them_still_make_a_job() {
    for text in [
        "",
        "%\n%\n",
        "(JUST A COMMENT)\n",
        "G0 X1 Y1\nM30\n",
        "\u{0}\u{0}",
        "T1 M6\n((((\nLEAVE\n(LEAVE)\n(D=)\n(#)\n(/)",
    ] {
        let programs = [("x.nc", text)];
        let suggested = suggest(&programs);
        assert_eq!(suggested.job.blank, None, "{text}");
        assert!(suggested.notes.iter().any(|note| note.contains("feeds anywhere")), "{:?}", suggested.notes);
        nothing_counts_as_confirmed(&suggested, &programs);
    }
    assert!(suggest(&[]).job.passes.is_empty());
}

#[test]
fn of_a_program_that_cannot_be_followed_the_depth_is_told_as_such() {
    let text = program("(ROUGH)", -0.5).replace("X4.", "G65 P9000\nX4.");
    let suggested = suggest(&[("1.nc", &text)]);
    let bottom = suggested.job.to_confirm.iter().find(|entry| matches!(entry.part, Part::Pass(_, "bottom")));
    let note = bottom.and_then(|entry| entry.note.as_deref()).unwrap_or_default();
    assert!(note.contains("could not be followed to its end"), "{note}");
}

#[test]
fn names_are_never_twice() {
    let one = program("(ROUGH)", -0.5);
    let programs = [("1.nc", one.as_str()), ("2.nc", &one), ("3/2.nc", &one)];
    let suggested = suggest(&programs);
    // What all share is the job's name.
    assert_eq!(suggested.job.name.as_deref(), Some("ROUGH"));
    let names: Vec<&str> = suggested.job.passes.iter().map(|pass| pass.name.as_str()).collect();
    assert_eq!(names, ["1", "2", "2 (2)"]);
    nothing_counts_as_confirmed(&suggested, &programs);
}
