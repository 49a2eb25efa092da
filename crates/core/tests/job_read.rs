//! Job files that can be read, and what is said of those that cannot.

use blockwright_core::geometry::pt;
use blockwright_core::job::{Does, JobError, PathSource, Vertex, read, write};
use blockwright_core::tool::Form;
use blockwright_core::units::Units;

/// The example in the design, word for word.
const EXAMPLE: &str = r#"{
  "schema": "blockwright-job/1",
  "name": "Signal-lamp bezel, block 1",
  "units": "inch",
  "outline": { "vertices": [[0,0],[4,0,0.4142135623730951],[4.5,0.5],[4.5,3],[0,3]] },
  "blank": { "edge": { "vertices": [[-0.2,-0.2],[4.7,-0.2],[4.7,3.2],[-0.2,3.2]] },
             "top": 0.0, "thickness": 1.0, "material": "aluminum 6061-T6" },
  "bed": { "top": -1.04 },
  "gauge_height": -0.5, "land": 0.030,
  "contact": { "light_below": 0.010, "heavy_above": 0.070 },
  "machine": { "rapid": 100, "spindle_max": 4000, "power": 1.5, "travel": { "x": [-12, 12], "y": [-6, 6], "z": [-5, 5] } },
  "control": { "program_numbers": [1, 9999], "line_end": "crlf", "longest_line": 80,
               "plain_numbers": "units", "arc_centers": "incremental" },
  "tools": [
    { "number": 1, "name": "1/2 roughing end mill", "form": { "kind": "flat", "diameter": 0.5 },
      "flutes": 4, "flute_length": 1.25, "shank_diameter": 0.5, "stickout": 1.75, "holder_diameter": 1.5 }
  ],
  "passes": [
    { "name": "Rough, leave .050", "program": "1001.nc", "tool": 1, "allowance": 0.050,
      "bottom": -1.02, "zero": [0, 0, 0] }
  ]
}
"#;

/// The least a job may be.
const LEAST: &str = r#"{"schema": "blockwright-job/1", "units": "mm", "tools": [], "passes": []}"#;

/// The example with its first `old` replaced, so that places are those of the example.
fn with(old: &str, new: &str) -> String {
    assert!(EXAMPLE.contains(old), "the example has no {old}");
    EXAMPLE.replacen(old, new, 1)
}

/// Line, column and key of the error, and its message.
fn refusal(text: &[u8]) -> Option<(usize, usize, String, String)> {
    let JobError { line, column, key, message, .. } = read(text).err()?;
    Some((line, column, key, message))
}

#[test]
fn the_design_example_is_read_and_round_trips() {
    let job = read(EXAMPLE.as_bytes()).expect("the example reads");
    assert_eq!(job.units, Units::Inch);
    assert_eq!(job.bed_top, Some(-1.04));
    assert_eq!(job.tools[0].form, Form::Flat { diameter: 0.5 });
    assert_eq!(job.passes[0].allowance, Some(0.05));
    let Some(PathSource::Vertices(outline)) = &job.outline else { panic!("the outline has vertices") };
    assert_eq!(outline[1], Vertex { at: pt(4.0, 0.0), bulge: 0.414_213_562_373_095_1 });
    assert_eq!(read(write(&job).as_bytes()), Ok(job));
}

#[test]
fn the_least_job_is_read_with_and_without_a_mark() {
    let plain = read(LEAST.as_bytes()).expect("reads");
    assert_eq!(plain.blank, None);
    assert_eq!(read(format!("\u{feff}{LEAST}").as_bytes()), Ok(plain));
}

#[test]
fn every_tool_form_is_read() {
    let forms = [
        (r#""kind": "ball", "diameter": 0.5"#, Form::Ball { diameter: 0.5 }),
        (
            r#""kind": "bull", "diameter": 0.5, "corner_radius": 0.06"#,
            Form::Bull { diameter: 0.5, corner_radius: 0.06 },
        ),
        (
            r#""kind": "undercut", "diameter": 1, "angle": 5, "height": 0.75"#,
            Form::Undercut { diameter: 1.0, angle: 5.0, height: 0.75 },
        ),
        (
            r#""kind": "edge_round", "pilot_diameter": 0.25, "radius": 0.125"#,
            Form::EdgeRound { pilot_diameter: 0.25, radius: 0.125, pilot_length: 0.0 },
        ),
        (
            r#""kind": "chamfer", "tip_diameter": 0, "angle": 45, "height": 0.25"#,
            Form::Chamfer { tip_diameter: 0.0, angle: 45.0, height: 0.25 },
        ),
        (
            r#""kind": "drill", "diameter": 0.25, "point_angle": 118"#,
            Form::Drill { diameter: 0.25, point_angle: 118.0 },
        ),
        (
            r#""kind": "silhouette", "points": [[0.1, 0], [0.25, 0.5]]"#,
            Form::Silhouette { points: vec![[0.1, 0.0], [0.25, 0.5]] },
        ),
    ];
    for (text, form) in forms {
        let job = read(with(r#""kind": "flat", "diameter": 0.5"#, text).as_bytes()).expect(text);
        assert_eq!(job.tools[0].form, form);
    }
}

#[test]
fn paths_from_elsewhere_are_read() {
    let outline = r#"{ "vertices": [[0,0],[4,0,0.4142135623730951],[4.5,0.5],[4.5,3],[0,3]] }"#;
    let cases = [
        (
            r#"{ "file": "outline.dxf", "layer": "SCRIBE", "units": "mm" }"#,
            PathSource::File {
                file: "outline.dxf".to_owned(),
                layer: Some("SCRIBE".to_owned()),
                units: Some(Units::Mm),
            },
        ),
        (r#"{ "from_pass": "Rough, leave .050" }"#, PathSource::FromPass("Rough, leave .050".to_owned())),
        (
            r#"{ "vertices": [[0, 0, 1], [2, 0, 1]] }"#,
            PathSource::Vertices(vec![
                Vertex { at: pt(0.0, 0.0), bulge: 1.0 },
                Vertex { at: pt(2.0, 0.0), bulge: 1.0 },
            ]),
        ),
    ];
    for (text, source) in cases {
        let job = read(with(outline, text).as_bytes()).expect(text);
        assert_eq!(job.outline, Some(source));
    }
}

#[test]
fn a_pass_says_what_it_does() {
    for (word, does) in Does::ALL {
        let job =
            read(with(r#""tool": 1, "all"#, &format!(r#""tool": 1, "does": "{word}", "all"#)).as_bytes());
        let job = job.expect("reads");
        assert_eq!(job.passes[0].does, Some(does));
        assert_eq!(read(write(&job).as_bytes()), Ok(job), "{word} comes back");
    }
    let job = read(EXAMPLE.as_bytes()).expect("reads");
    assert_eq!((job.passes[0].does, job.land), (None, Some(0.03)));
}

#[test]
fn a_turn_stands_beside_the_zero() {
    let job = read(with(r#""zero": [0, 0, 0]"#, r#""zero": [1, 2, -0.5], "turn": 30"#).as_bytes());
    let zero = job.expect("reads").passes[0].zero;
    assert_eq!((zero.origin, zero.turn), ([1.0, 2.0, -0.5], 30.0));
}

/// What is replaced in the example, by what, and the line, column, key and part of the message that follow.
type Bad = (&'static str, &'static str, usize, usize, &'static str, &'static str);

const BAD: &[Bad] = &[
    ("blockwright-job/1", "blockwright-job/2", 2, 13, "schema", "newer Blockwright"),
    ("blockwright-job/1", "blockwright-proof/1", 2, 13, "schema", "must be \"blockwright-job/1\""),
    ("blockwright-job/1", "blockwright-job/01", 2, 13, "schema", "must be \"blockwright-job/1\""),
    ("\"blockwright-job/1\"", "1", 2, 13, "schema", "must be text in quotes, not 1"),
    ("\"schema\": \"blockwright-job/1\",", "", 1, 1, "schema", "missing"),
    ("\"name\"", "\"nmae\"", 3, 3, "nmae", "did you mean \"name\"?"),
    ("\"gauge_height\"", "\"gaugeheight\"", 9, 3, "gaugeheight", "did you mean \"gauge_height\"?"),
    ("\"land\": 0.030", "\"land\": -0.1", 9, 33, "land", "must not be below 0"),
    (
        "\"tool\": 1, \"all",
        "\"tool\": 1, \"does\": \"pocket\", \"all",
        19,
        77,
        "passes[0].does",
        "\"edge\" or \"inside\"",
    ),
    ("\"name\": \"Signal-lamp bezel, block 1\"", "\"name\": null", 3, 11, "name", "leave the key out"),
    ("\"inch\"", "\"inches\"", 4, 12, "units", "must be \"inch\" or \"mm\""),
    ("\"units\": \"inch\",", "", 1, 1, "units", "missing"),
    ("[0,0]", "[0]", 5, 29, "outline.vertices[0]", "[x, y, bulge]"),
    ("[0,0]", "[0,0,0,0]", 5, 29, "outline.vertices[0]", "not more"),
    ("[1, 9999]", "[1]", 12, 35, "control.program_numbers", "must be 2 numbers [lowest, highest], not 1"),
    ("[4.5,0.5]", "[4.5,\"a\"]", 5, 65, "outline.vertices[2][1]", "must be a number, not the text \"a\""),
    ("[4.5,0.5]", "[4.5,1e999]", 5, 65, "outline.vertices[2][1]", "not a finite number"),
    ("[4.5,0.5]", "[4.5,2e9]", 5, 65, "outline.vertices[2][1]", "too large"),
    ("[0,3]", "[0,3],[0,0]", 5, 84, "outline.vertices[5]", "repeats the first vertex"),
    ("[4.5,3],", "[4.5,0.5],", 5, 70, "outline.vertices[3]", "repeats the vertex before it"),
    (
        "[[0,0],[4,0,0.4142135623730951],[4.5,0.5],[4.5,3],[0,3]]",
        "[[0,0]]",
        5,
        28,
        "outline.vertices",
        "at least two vertices, not 1",
    ),
    (
        "[[0,0],[4,0,0.4142135623730951],[4.5,0.5],[4.5,3],[0,3]]",
        "[[0,0],[4,0]]",
        5,
        28,
        "outline.vertices",
        "make a line",
    ),
    (
        "[[0,0],[4,0,0.4142135623730951],[4.5,0.5],[4.5,3],[0,3]]",
        "[[0,0,0.5],[4,0,-0.5]]",
        5,
        28,
        "outline.vertices",
        "no area",
    ),
    ("\"outline\": { \"vertices\"", "\"outline\": { \"vertex\"", 5, 16, "outline.vertex", "unknown key"),
    (
        "\"outline\": { ",
        "\"outline\": { \"file\": \"a.dxf\", ",
        5,
        33,
        "outline.vertices",
        "cannot both be given",
    ),
    ("\"outline\": { ", "\"outline\": { \"layer\": \"A\", ", 5, 16, "outline.layer", "belongs to a \"file\""),
    (
        "{ \"vertices\": [[0,0],[4,0,0.4142135623730951],[4.5,0.5],[4.5,3],[0,3]] }",
        "{}",
        5,
        14,
        "outline",
        "needs \"vertices\"",
    ),
    (
        "{ \"vertices\": [[0,0],[4,0,0.4142135623730951],[4.5,0.5],[4.5,3],[0,3]] }",
        "{ \"from_pass\": \"Finish\" }",
        5,
        29,
        "outline.from_pass",
        "no pass of this job is called \"Finish\"",
    ),
    (
        "{ \"vertices\": [[-0.2,-0.2],[4.7,-0.2],[4.7,3.2],[-0.2,3.2]] }",
        "{ \"from_pass\": \"Rough\" }",
        6,
        24,
        "blank.edge.from_pass",
        "only an outline",
    ),
    ("\"top\": 0.0, ", "", 6, 12, "blank.top", "missing"),
    ("\"thickness\": 1.0", "\"thickness\": 0", 7, 39, "blank.thickness", "must be above 0, not 0"),
    ("\"material\"", "\"at\": [0, 0], \"material\"", 7, 50, "blank.at", "3 numbers [x, y, turn], not 2"),
    ("\"bed\": { ", "\"keep_clear\": {}, \"bed\": { ", 8, 17, "keep_clear", "must be a list"),
    ("\"bed\": { ", "\"keep_clear\": [{}], \"bed\": { ", 8, 18, "keep_clear[0].name", "missing"),
    (
        "\"bed\": { ",
        "\"keep_clear\": [{ \"name\": \"a\", \"area\": { \"vertices\": [[0,0],[1,0]] }, \"top\": 1 }], \"bed\": { ",
        8,
        55,
        "keep_clear[0].area.vertices",
        "make a line",
    ),
    (
        "\"bed\": { ",
        "\"keep_clear\": [{ \"name\": \"a\", \"area\": { \"file\": \"a.dxf\" }, \"top\": 1 }], \"bed\": { ",
        8,
        43,
        "keep_clear[0].area.file",
        "unknown key",
    ),
    (
        "\"bed\": { ",
        "\"keep_clear\": [{ \"name\": \"a\", \"area\": { \"vertices\": [[0,0],[1,0],[1,1]] } }], \"bed\": { ",
        8,
        18,
        "keep_clear[0].top",
        "missing",
    ),
    ("\"bed\": { ", "\"walls\": 3, \"bed\": { ", 8, 12, "walls", "must be a list"),
    ("\"bed\": { ", "\"walls\": [1, -2], \"bed\": { ", 8, 16, "walls[1]", "-2"),
    ("{ \"top\": -1.04 }", "-1.04", 8, 10, "bed", "must be an object"),
    (
        "\"light_below\": 0.010",
        "\"light_below\": 0.1",
        10,
        31,
        "contact.light_below",
        "not be above heavy_above",
    ),
    ("\"rapid\": 100", "\"rapid\": -100", 11, 25, "machine.rapid", "must be above 0, not -100"),
    ("[-6, 6]", "[6, -6]", 11, 98, "machine.travel.y", "must be below the highest"),
    ("\"z\": [-5", "\"x\": [-5", 11, 107, "machine.travel.x", "given twice"),
    ("[1, 9999]", "[9999, 1]", 12, 35, "control.program_numbers", "must not be above the highest"),
    ("[1, 9999]", "[1.5, 9999]", 12, 36, "control.program_numbers[0]", "whole number"),
    ("\"crlf\"", "\"crfl\"", 12, 58, "control.line_end", "must be \"crlf\", \"lf\" or \"cr\""),
    ("\"units\", \"arc", "\"inches\", \"arc", 13, 33, "control.plain_numbers", "\"increments\""),
    ("\"tools\": [", "\"tools\": {}, \"passes\": [", 18, 3, "passes", "given twice"),
    ("[-12, 12]", "{}", 11, 82, "machine.travel.x", "must be 2 numbers [lowest, highest], not an object"),
    ("\"number\": 1", "\"number\": 0", 15, 17, "tools[0].number", "whole number, 1 or more, not 0"),
    ("\"flat\"", "\"flatt\"", 15, 71, "tools[0].form.kind", "did you mean \"flat\"?"),
    ("\"diameter\": 0.5", "\"diameter\": 0", 15, 91, "tools[0].form.diameter", "must be above 0"),
    (", \"diameter\": 0.5", "", 15, 61, "tools[0].form.diameter", "missing"),
    (
        "\"flat\", \"diameter\": 0.5",
        "\"bull\", \"diameter\": 0.5, \"corner_radius\": 0.3",
        15,
        113,
        "tools[0].form.corner_radius",
        "more than half the diameter",
    ),
    ("\"flat\", ", "\"flat\", \"angle\": 3, ", 15, 79, "tools[0].form.angle", "unknown key"),
    ("\"flutes\": 4", "\"flutes\": 0", 16, 17, "tools[0].flutes", "1 or more"),
    (
        "\"holder_diameter\": 1.5 }",
        "\"holder_diameter\": 1.5 },\n{\"number\": 1, \"form\": {\"kind\": \"ball\", \"diameter\": 1}}",
        17,
        12,
        "tools[1].number",
        "already a tool 1",
    ),
    ("\"tool\": 1", "\"tool\": 7", 19, 66, "passes[0].tool", "no tool 7"),
    ("\"program\": \"1001.nc\", ", "", 19, 5, "passes[0].program", "missing"),
    ("\"1001.nc\"", "\"\"", 19, 47, "passes[0].program", "must not be empty"),
    ("[0, 0, 0]", "[0, 0]", 20, 32, "passes[0].zero", "3 numbers [x, y, z], not 2"),
    ("[0, 0, 0] }", "[0, 0, 0], \"turn\": \"1\" }", 20, 51, "passes[0].turn", "must be a number"),
    (
        "[0, 0, 0] }",
        "[0, 0, 0], \"measured\": [{ \"what\": \"over_x\", \"station\": 1, \"value\": 2 }] }",
        20,
        76,
        "passes[0].measured[0].station",
        "unknown key",
    ),
    (
        "[0, 0, 0] }",
        "[0, 0, 0], \"measured\": [{ \"what\": \"stock_left\", \"value\": 2 }] }",
        20,
        56,
        "passes[0].measured[0].station",
        "missing",
    ),
    (
        "[0, 0, 0] }",
        "[0, 0, 0], \"measured\": [{ \"what\": \"land\", \"value\": 2 }, { \"what\": \"land\", \"value\": 3 }] }",
        20,
        88,
        "passes[0].measured[1]",
        "measured twice",
    ),
    (
        "[0, 0, 0] }",
        "[0, 0, 0] },\n { \"name\": \"Rough, leave .050\", \"program\": \"a\", \"tool\": 1 }",
        21,
        12,
        "passes[1].name",
        "already a pass",
    ),
    ("[0, 0, 0] }", "[0, 0, 0], }", 20, 43, "", "not JSON"),
    ("Signal-lamp bezel, block 1\"", "Signal-lämp\" \"", 3, 25, "", "not JSON"),
    ("Signal-lamp", "\\ud800", 3, 11, "name", "this text cannot be read"),
];

#[test]
fn bad_jobs_are_refused_at_the_right_place() {
    let mut wrong = Vec::new();
    for &(old, new, line, column, key, part) in BAD {
        let text = with(old, new);
        let (got_line, got_column, got_key, message) =
            refusal(text.as_bytes()).unwrap_or_else(|| panic!("{new} is accepted"));
        if (got_line, got_column, got_key.as_str()) != (line, column, key) || !message.contains(part) {
            let there: String = text
                .lines()
                .nth(got_line - 1)
                .map(|line| line.chars().skip(got_column - 1).take(24).collect())
                .unwrap_or_default();
            wrong.push(format!("{new}\n  {got_line}:{got_column} {got_key}: {message}\n  there: {there}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn other_files_are_told_apart() {
    let cases: [(&[u8], usize, usize, &str); 10] = [
        (b"", 1, 1, "empty"),
        (b" \n\t", 1, 1, "empty"),
        (b"%\nO1001\nG20 G90\n", 1, 1, "looks like a program"),
        (b"\n  G0 X1.\n", 2, 3, "looks like a program"),
        (b"(ROUGH)\nN10 G1\n", 1, 1, "looks like a program"),
        (b"[1, 2]", 1, 1, "begins with {"),
        (b"hello", 1, 1, "begins with {"),
        (b"{\"schema\":\n \"x", 2, 4, "ends before its last bracket"),
        (b"{\n\"\xc3\xa4\xff\"}", 2, 3, "not UTF-8"),
        (b"\xff\xfe{\0", 1, 1, "UTF-16"),
    ];
    for (text, line, column, part) in cases {
        let (got_line, got_column, _, message) = refusal(text).expect("refused");
        assert_eq!((got_line, got_column), (line, column), "{message}");
        assert!(message.contains(part), "{message}");
    }
}

#[test]
fn limits_have_their_own_messages() {
    let large = vec![b' '; 16 * 1024 * 1024 + 1];
    assert!(refusal(&large).expect("refused").3.contains("16 MiB"));

    let deep = format!("{{\"a\": {}", "[".repeat(1_000_000));
    let (line, column, _, message) = refusal(deep.as_bytes()).expect("refused");
    assert_eq!((line, column), (1, 7 + 63));
    assert!(message.contains("64 deep"), "{message}");

    let vertices = vec!["[0,0]"; 100_001].join(",");
    let text = with("[[0,0],", &format!("[{vertices},"));
    let (_, _, key, message) = refusal(text.as_bytes()).expect("refused");
    assert_eq!(key, "outline.vertices[100000]");
    assert!(message.contains("more than 100000 vertices"), "{message}");

    let values: Vec<String> =
        (0..1001).map(|n| format!(r#"{{"what": "stock_left", "station": {n}, "value": 0}}"#)).collect();
    let measured = |count: usize| {
        with("[0, 0, 0] }", &format!("[0, 0, 0], \"measured\": [{}] }}", values[..count].join(",")))
    };
    assert_eq!(refusal(measured(1000).as_bytes()), None);
    let (_, _, key, message) = refusal(measured(1001).as_bytes()).expect("refused");
    assert_eq!(key, "passes[0].measured[1000]");
    assert!(message.contains("more than 1000 measured values"), "{message}");

    for (list, what) in [("\"tools\": []", "tools"), ("\"passes\": []", "passes")] {
        let many: Vec<String> = (1..=1001)
            .map(|n| match what {
                "tools" => format!(r#"{{"number": {n}, "form": {{"kind": "flat", "diameter": 1}}}}"#),
                _ => format!(r#"{{"name": "{n}", "program": "a.nc", "tool": 1}}"#),
            })
            .collect();
        let text = LEAST.replace(list, &format!("\"{what}\": [{}]", many.join(",\n")));
        let (line, _, key, message) = refusal(text.as_bytes()).expect("refused");
        assert_eq!((line, key), (1001, format!("{what}[1000]")));
        assert!(message.contains(&format!("more than 1000 {what}")), "{message}");
    }
}

#[test]
fn columns_count_characters_and_the_error_prints_its_place() {
    let text = with("\"Signal-lamp bezel, block 1\"", "\"Bézel äöü\", \"nam\": 1").replace('\n', "\r\n");
    let error = read(text.as_bytes()).expect_err("refused");
    assert_eq!((error.line, error.column), (3, 24));
    assert!(error.to_string().starts_with("line 3, column 24, nam: unknown key"), "{error}");
    let bare =
        JobError { line: 1, column: 2, key: String::new(), place: String::new(), message: "x".to_owned() };
    assert_eq!(bare.to_string(), "line 1, column 2: x");
}

/// People read the place by number and name; programs have the key.
#[test]
fn the_place_is_told_in_words() {
    for (old, new, place) in [
        ("\"tool\": 1", "\"tool\": 7", "pass 1 \"Rough, leave .050\", tool: there is no tool 7"),
        ("\"flutes\": 4", "\"flutes\": 0", "tool 1 \"1/2 roughing end mill\", flutes: must"),
        ("[4.5,0.5]", "[4.5,\"x\"]", "outline, vertex 3, value 2: must be a number"),
        ("\"name\": \"Rough, leave .050\"", "\"name\": 3", "pass 1, name: must be text"),
    ] {
        let error = read(with(old, new).as_bytes()).expect_err(place).to_string();
        assert!(error.contains(place), "{error}");
    }
}

/// The job that the published schema is tried with.
#[test]
fn a_job_with_every_key_comes_back() {
    let job = read(include_bytes!("jobs/whole.json")).expect("it is read");
    assert_eq!((job.passes[0].measured.len(), job.to_confirm.len()), (7, 5));
    assert_eq!(read(write(&job).as_bytes()), Ok(job));
}

/// Any cut through the example, and any byte of it lost, is refused or read, but never a panic.
#[test]
fn damaged_files_do_not_panic() {
    for at in 0..EXAMPLE.len() {
        let cut = read(&EXAMPLE.as_bytes()[..at]);
        assert!(cut.is_err() || EXAMPLE[at..].trim().is_empty());
        let mut lost = EXAMPLE.as_bytes().to_vec();
        lost.remove(at);
        if let Err(error) = read(&lost) {
            assert!(error.line >= 1 && error.column >= 1 && !error.message.is_empty());
        }
    }
}

#[test]
fn a_key_without_end_makes_no_message_without_end() {
    let text = JOB_WITH_A_LONG_KEY.replace("KEY", &"long ".repeat(2000));
    let message = read(text.as_bytes()).expect_err("an unknown key").to_string();
    assert!(message.chars().count() < 800 && message.contains("line 1"), "{message}");
}

const JOB_WITH_A_LONG_KEY: &str =
    r#"{ "schema": "blockwright-job/1", "units": "inch", "KEY": 1, "tools": [], "passes": [] }"#;
