//! The record of a job, held against the check it was made from.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "tests say what they stand on"
)]

use blockwright_core::demo;
use std::collections::BTreeMap;
use std::sync::Arc;

use blockwright_core::finding::Code;
use blockwright_core::job::Job;
use blockwright_core::proof::{self, Descent, Fall, Proof, Source};
use blockwright_core::prover::{Options, Prover};
use blockwright_core::record::{self, FileKind, Record, RecordFile};
use blockwright_core::task::{Cancel, Task};
use blockwright_core::units::Units;
use blockwright_tests::sample;
use serde_json::Value;

/// The folders of the samples.
fn samples() -> Vec<&'static str> {
    let jobs = demo::files().iter().filter_map(|(name, _)| name.strip_suffix("/job.json"));
    jobs.collect()
}

fn proven(source: &Source, cell: Option<f64>) -> Proof {
    let cancel = Cancel::new();
    let options = Options { cell, ..Options::default() };
    Prover::new().prove(source, &options, Task::quiet(&cancel)).expect("a sample can be checked")
}

/// Cells so coarse that the heightfield takes no time: what is measured along the outline does not look at them.
fn coarse(source: &Source) -> Proof {
    proven(source, Some(source.job.units.pick(0.03, 0.8)))
}

/// A line of CSV as its cells (RFC 4180).
fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut quoted) = (vec![String::new()], false);
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            letter => cells.last_mut().expect("a cell").push(letter),
        }
    }
    cells
}

#[test]
fn the_list_of_stations_is_what_the_check_tells() {
    for name in samples() {
        let source = sample(name);
        let proof = coarse(&source);
        let told: Value = serde_json::from_str(&proof::json(&proof)).expect("JSON");
        let text = record::stations(&proof);
        let mut lines = text.lines();
        let head = cells(lines.next().expect("a head"));
        let column = |name: &str| head.iter().position(|cell| cell == name).expect(name);
        let [pass, station, left, cut, state] =
            ["pass", "station", "stock_left", "cut", "contact"].map(column);
        let mut counted = vec![0; proof.passes.len()];
        for line in lines {
            let row = cells(line);
            assert_eq!(row.len(), head.len(), "{line}");
            let number = |index: usize| row[index].parse::<f64>().expect("a number");
            let of = row[pass].parse::<usize>().expect("a pass") - 1;
            counted[of] += 1;
            let told = &told["passes"][of];
            for (key, value) in [("leave", number(left)), ("cut", number(cut))] {
                let bound = |end: &str| told[key][end].as_f64().expect("a range");
                let range = bound("least") - 1e-5..=bound("most") + 1e-5;
                assert!(range.contains(&value), "{name}, {line}: {key} {range:?}");
            }
            let stretches = told["contact"].as_array().expect("stretches");
            let end = |stretch: &Value, key: &str| stretch[key].as_f64().expect("a station");
            let at = number(station);
            let own = stretches.iter().filter(|s| end(s, "from") <= at + 1e-5 && at <= end(s, "to") + 1e-5);
            let own: Vec<&str> = own.filter_map(|stretch| stretch["state"].as_str()).collect();
            assert!(own.contains(&row[state].as_str()), "{name}, {line}: {own:?}");
        }
        for (done, count) in proof.passes.iter().zip(counted) {
            assert_eq!(count, done.along_outline.as_ref().map_or(0, |along| along.rows.len()), "{name}");
        }
    }
}

/// All files of the record of a job.
fn recorded(source: &Source, proof: &Proof) -> Vec<RecordFile> {
    let cancel = Cancel::new();
    let record = Record { proof, source, date: "2026-11-30", walls: &[1.25], every_body: true };
    record.files(Task::quiet(&cancel)).expect("a record")
}

fn text(files: &[RecordFile], name: &str) -> String {
    let file = files.iter().find(|file| file.name == name).expect(name);
    String::from_utf8(file.bytes.clone()).expect("text")
}

/// The triangles of a binary STL file, each corner by the bits of its coordinates, and their volume: six times that of a
/// tetrahedron from the origin is the triple product of its corners.
fn triangles(bytes: &[u8]) -> (Vec<[[u32; 3]; 3]>, f64) {
    let number = |at: usize| f32::from_le_bytes(bytes[at..at + 4].try_into().expect("four bytes"));
    let count = u32::from_le_bytes(bytes[80..84].try_into().expect("four bytes")) as usize;
    assert_eq!(bytes.len(), 84 + 50 * count);
    let (mut all, mut volume) = (Vec::new(), 0.0);
    for index in 0..count {
        let corner = |place: usize| -> [f32; 3] {
            std::array::from_fn(|axis| number(84 + 50 * index + 12 * (place + 1) + 4 * axis))
        };
        let [a, b, c] = [0, 1, 2].map(corner);
        let [p, q, r] = [a, b, c].map(|corner| corner.map(f64::from));
        let cross = [q[1] * r[2] - q[2] * r[1], q[2] * r[0] - q[0] * r[2], q[0] * r[1] - q[1] * r[0]];
        volume += (p[0] * cross[0] + p[1] * cross[1] + p[2] * cross[2]) / 6.0;
        all.push([a, b, c].map(|corner| corner.map(f32::to_bits)));
    }
    (all, volume)
}

#[test]
fn a_body_is_closed_and_has_the_volume_of_the_heightfield_after_every_pass() {
    for name in ["signal-lamp-bezel", "bracket-shoe", "drip-tray-die", "latch-plate-die"] {
        let source = sample(name);
        let proof = coarse(&source);
        let files = recorded(&source, &proof);
        let bodies: Vec<&RecordFile> = files.iter().filter(|file| file.kind == FileKind::Body).collect();
        assert_eq!(bodies.len(), proof.passes.len(), "{name}");
        for (file, done) in bodies.into_iter().zip(&proof.passes) {
            let (triangles, volume) = triangles(&file.bytes);
            let mut ways: BTreeMap<([u32; 3], [u32; 3]), i32> = BTreeMap::new();
            for [a, b, c] in &triangles {
                assert!(a != b && b != c && c != a, "{name}, {}: a triangle without a side", file.name);
                for (from, to) in [(a, b), (b, c), (c, a)] {
                    *ways.entry((*from, *to)).or_default() += 1;
                }
            }
            for ((from, to), count) in &ways {
                let back = ways.get(&(*to, *from)).copied().unwrap_or(0);
                assert_eq!((*count, back), (1, 1), "{name}, {}: an open edge", file.name);
            }
            let field = done.removal.as_ref().expect("a block").end().volume();
            // Heights in whole steps, and gaps between parts that touch along an edge alone filled in.
            assert!((volume / field - 1.0).abs() < 1e-4, "{name}, {}: {volume} of {field}", file.name);
        }
    }
}

#[test]
fn a_body_keeps_its_undercut() {
    let source = sample("signal-lamp-bezel");
    let proof = coarse(&source);
    let field = proof.passes.last().and_then(|pass| pass.removal.as_ref()).expect("a block").end();
    assert!(field.voids() > 100, "metal hangs over");
    let (triangles, _) = triangles(&record::stl(field, Units::Inch));
    let z = |corner: &[u32; 3]| f32::from_bits(corner[2]);
    // Level triangles that look down, above the bottom face: the underside of what hangs over.
    let hangs = triangles.iter().filter(|[a, b, c]| {
        let p = |corner: &[u32; 3]| [f32::from_bits(corner[0]), f32::from_bits(corner[1])];
        let [p, q, r] = [p(a), p(b), p(c)];
        let turn = (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);
        z(a) == z(b) && z(b) == z(c) && turn < 0.0 && z(a) > -0.95
    });
    assert!(hangs.count() > 200);
}

#[test]
fn the_same_job_makes_the_same_bytes_whoever_checks_it() {
    let source = sample("bracket-shoe");
    assert_eq!(recorded(&source, &coarse(&source)), recorded(&source, &coarse(&source)));
}

/// A job of the sample with names that would do something instead of being read.
fn hostile() -> (Source, Vec<String>) {
    let source = sample("bracket-shoe");
    let names = [
        "</title><script>alert(1)</script>".to_owned(),
        "\"><img src=x onerror=alert(1)>&amp;".to_owned(),
        format!("long {}", "x".repeat(5000)),
        "\u{202e}evif ssap \u{5d0}\u{5d1}\u{5d2}".to_owned(),
        "=HYPERLINK(\"a\")\r\nforged,row".to_owned(),
    ];
    let mut job: Job = (*source.job).clone();
    job.name = Some(names[0].clone());
    for (pass, name) in job.passes.iter_mut().zip(&names) {
        pass.name.clone_from(name);
    }
    for (tool, name) in job.tools.iter_mut().zip(&names) {
        tool.name = Some(name.clone());
    }
    if let Some(blank) = &mut job.blank {
        blank.material = Some(names[1].clone());
    }
    (Source { job: Arc::new(job), ..source }, names.to_vec())
}

#[test]
fn hostile_names_come_out_as_text() {
    let (source, names) = hostile();
    let proof = coarse(&source);
    let files = recorded(&source, &proof);
    let page = text(&files, "record.html");
    for tag in ["<script", "<img", "onerror=alert(1)>", "\u{202e}"] {
        assert!(!page.contains(tag), "{tag}");
    }
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    assert!(!page.contains(&"x".repeat(200)), "a long name is cut");
    assert!(page.contains("\u{5d0}\u{5d1}\u{5d2}"), "what is seen stays");
    for file in files.iter().filter(|file| file.kind == FileKind::Drawing && file.name != "record.dxf") {
        let text = String::from_utf8(file.bytes.clone()).expect("text");
        assert!(!text.contains("<script") && !text.contains('\u{202e}'), "{}", file.name);
    }
    let list = text(&files, "record-stations.csv");
    let rows = list.split("\r\n").filter(|row| !row.is_empty());
    let wide = cells(list.lines().next().expect("a head")).len();
    for row in rows {
        let row = cells(row);
        assert_eq!(row.len(), wide, "{row:?}");
        assert!(!row[1].starts_with('='), "{row:?}");
    }
    let dxf = text(&files, "record.dxf");
    assert!(dxf.is_ascii() && dxf.ends_with("0\r\nEOF\r\n"));
    assert!(files.iter().any(|file| file.name == "record.pdf" && file.bytes.starts_with(b"%PDF-")));
    assert_eq!(names.len(), 5);
}

#[test]
fn the_walk_round_has_thin_places_first_and_the_gap_that_the_pass_leaves() {
    let source = sample("signal-lamp-bezel");
    let proof = coarse(&source);
    for (pass, leaves) in [(0, 0.062), (1, 0.015), (2, 0.0)] {
        let stops = record::walk(&proof, pass);
        let thin = stops.iter().take_while(|stop| stop.thin).count();
        assert_eq!(thin, stops.iter().filter(|stop| stop.thin).count());
        assert_eq!(thin, usize::from(pass < 2), "pass {pass} has one thin place or none");
        assert!(stops.len() >= 10);
        for stop in &stops {
            assert!((stop.gap - leaves).abs() < 2e-4, "pass {pass}: {stop:?}");
        }
        let round: Vec<f64> = stops[thin..].iter().map(|stop| stop.distance).collect();
        assert!(round.is_sorted(), "in the order of the path");
    }
    // The step in is what the sample's name says: the rim stands .075 over the line.
    for stop in record::walk(&proof, 4) {
        assert!((stop.gap + 0.075).abs() < 3e-4, "{stop:?}");
    }
    assert!(record::walk(&proof, 3).is_empty(), "a face is not walked round the outline");
    assert!(record::walk(&proof, 99).is_empty());
}

#[test]
fn the_drawing_is_read_back_as_it_was() {
    for name in ["hinge-pad-die", "shelf-angle-die", "signal-lamp-bezel"] {
        let source = sample(name);
        let proof = coarse(&source);
        let files = recorded(&source, &proof);
        let bytes = text(&files, "record.dxf");
        let mut job: Job = (*source.job).clone();
        let units = source.job.units;
        let layer = |name: &str| blockwright_core::job::PathSource::File {
            file: "record.dxf".to_owned(),
            layer: Some(name.to_owned()),
            units: None,
        };
        job.outline = Some(layer("OUTLINE"));
        if let Some(blank) = &mut job.blank {
            blank.edge = layer("EDGE");
            blank.at = None;
        }
        let mut source = Source { job: Arc::new(job), ..source };
        source.beside.drawings.insert("record.dxf".to_owned(), Arc::from(bytes.as_bytes()));
        let again = coarse(&source);
        for (one, two) in [(&proof.outline, &again.outline), (&proof.edge, &again.edge)] {
            let (one, two) = (one.as_ref().expect("a path"), two.as_ref().expect("a path"));
            let near = units.pick(1e-5, 2.5e-4);
            assert!(
                (one.length() - two.length()).abs() < near && (one.area() - two.area()).abs() < near,
                "{name}"
            );
            assert!(one.points(near).iter().all(|p| two.distance(*p) < 2.0 * near), "{name}");
        }
    }
}

#[test]
fn a_job_that_lacks_nearly_everything_has_a_record_all_the_same() {
    let source = sample("round-puck");
    for less in 0..4 {
        let mut job: Job = (*source.job).clone();
        job.outline = job.outline.filter(|_| less % 2 == 0);
        if less >= 2 {
            job.blank = None;
        }
        if less == 3 {
            job.passes.clear();
        }
        let programs = source.programs.iter().take(job.passes.len()).cloned().collect();
        let source = Source { job: Arc::new(job), programs, ..source.clone() };
        let files = recorded(&source, &coarse(&source));
        assert!(text(&files, "record.html").contains("Check list"));
    }
}

/// What a machinist sets up by stands in the record of the demo: figures worked out by hand from its job and programs.
#[test]
fn the_record_tells_what_the_work_is_set_up_by() {
    let source = sample("signal-lamp-bezel");
    let mut job: Job = (*source.job).clone();
    job.walls = vec![3.0, 17.3457];
    let source = Source { job: Arc::new(job), ..source };
    let page = text(&recorded(&source, &coarse(&source)), "record.html");
    for words in [
        // Bottom face -1.0, bed -1.04; the undercuts' tip goes to -.99 from a zero .03 down.
        "the gap between them is .0400",
        "<td class=\"n\">-1.0200</td><td class=\"n\">.0200</td><td class=\"n\">.0200</td>",
        // The last undercut steps in .1472 under the block.
        "must end more than .1473 inside",
        "G54",
        "Z0 on the sawn top.",
        "Z0 on the top that pass 4 leaves, .0300 below the sawn top.",
        // N40 and N50 of 1001.nc, and its way out.
        "X -.9120, Y .7000, Z 2.0000",
        "X -.8120, Y 1.8000, up to Z 2.0000",
        "<dt>Cuts</dt><dd dir=\"auto\">climb</dd>",
        "light below .0100, heavy above .2500",
        ".0620 ± .0010",
        "The scribed line is gone since pass 4",
        // Marked walls come first; one past the end of the outline, 14.3457 long, goes on from its start.
        "Wall A at station 3.000",
        "Wall B at station 3.000",
        "Wall B at station 1.250",
    ] {
        let there = page.contains(words);
        assert_eq!(there, words != "Wall B at station 3.000", "{words}");
    }
}

/// After the top is faced off there is no line to look at: the rim is held against the side as it stands.
#[test]
fn the_walk_round_looks_at_the_side_where_the_line_is_gone() {
    let source = sample("signal-lamp-bezel");
    let mut job: Job = (*source.job).clone();
    // Rough, face, then finish: the side stands .062 outside the line when it is finished.
    job.passes = [0, 3, 2].map(|index| job.passes[index].clone()).to_vec();
    let programs = [0, 3, 2].map(|index: usize| Arc::clone(&source.programs[index])).to_vec();
    let proof = coarse(&Source { job: Arc::new(job), programs, ..source });
    assert_eq!(record::line_gone_with(&proof), Some(1));
    let (before, after) = (record::walk(&proof, 0), record::walk(&proof, 2));
    assert!(!before.is_empty() && before.iter().all(|stop| stop.mark == record::Mark::Line));
    assert!(before.iter().all(|stop| (stop.seen() - 0.062).abs() < 1e-3), "{before:?}");
    assert!(!after.is_empty());
    for stop in &after {
        assert_eq!(stop.mark, record::Mark::Side { gone_with: 1 });
        assert!(stop.gap.abs() < 1e-3 && (stop.seen() + stop.stock).abs() < 1e-3, "{stop:?}");
    }
    assert!(after.iter().any(|stop| stop.seen() < -0.06), "over the side by what it takes");
}

/// What is short on both sides of the first vertex is one place in the record too.
#[test]
fn metal_over_the_first_vertex_is_added_once() {
    let source = sample("hinge-pad-die");
    let proof = coarse(&source);
    let fitting = proof.fit.as_ref().expect("a fit");
    let one = fitting.before.iter().filter(|stretch| stretch.to < stretch.from).count();
    assert_eq!((one, fitting.before.len()), (1, 1), "{:?}", fitting.before);
    let page = text(&recorded(&source, &proof), "record.html");
    // 262.08 round to 3.90 on an outline of 299.398.
    assert!(page.contains("<td class=\"n\">262.08</td>") && page.contains("<td class=\"n\">41.22</td>"));
    assert!(page.contains("Do not cut it as it lies") && page.contains("dress the weld flush"));
}

/// What a pocket and a groove ask of a machinist: worked out by hand from 5003.nc and 5004.nc, whose zero lies at 36, 23.
#[test]
fn what_is_cut_inside_is_told_by_place_depth_and_way_down() {
    let source = sample("drip-tray-die");
    let proof = coarse(&source);
    // N90 to N170 go half round a circle of radius 3 for each 0.75; the groove's N90 falls 2.5 over 30.
    let steepest = |pass: usize| {
        let angles = proof.descents(pass).into_iter().map(|descent| match descent.how {
            Fall::Slope(angle) | Fall::Helix(angle) => angle,
            Fall::Beside(_) | Fall::Over => panic!("{descent:?}"),
        });
        angles.fold(0.0, f64::max)
    };
    assert!((steepest(2) - (0.75 / (3.0 * std::f64::consts::PI)).atan().to_degrees()).abs() < 1e-9);
    assert!((steepest(3) - (2.5_f64 / 30.0).atan().to_degrees()).abs() < 1e-9);
    // N50 of 5001.nc is 18.4 to the left of the sawn edge, with a cutter of radius 6.
    let beside = proof.descents(0);
    assert!(
        matches!(beside[..], [Descent { how: Fall::Beside(clear), .. }] if (clear - 12.4).abs() < 1e-9),
        "{beside:?}"
    );
    assert_eq!((proof.levels(2), proof.levels(3), proof.levels(0)), (vec![-6.0], vec![-2.0], vec![-15.5]));
    // The pocket is 40 by 20 in an outline of 72 by 46; the groove's axis runs 9 and 7 inside it, with a radius of 3.
    for (pass, ends) in [(2, [16.0, 16.0, 13.0, 13.0]), (3, [6.0, 6.0, 4.0, 4.0])] {
        let stops = record::inside_stops(&proof, pass);
        assert_eq!(stops.iter().map(|stop| stop.end).collect::<Vec<_>>(), ["left", "right", "front", "back"]);
        for (stop, inside) in stops.iter().zip(ends) {
            assert!((stop.inside - inside).abs() < 1e-9, "pass {pass}: {stop:?}");
        }
    }
    assert!(record::inside_stops(&proof, 0).is_empty());
    let page = text(&recorded(&source, &proof), "record.html");
    for words in [
        "Depth of what is cut inside",
        "<td class=\"n\">6.000</td><td class=\"n\">± 0.013</td>",
        "<td class=\"n\">2.000</td><td class=\"n\">± 0.013</td>",
        "in a helix at up to 4.5°",
        "sloping at up to 4.8°",
        "straight, 12.40 clear of the blank",
        "block X 16.00 to 56.00, Y 13.00 to 33.00",
        "<dd dir=\"auto\">one, Z -6.000</dd>",
        "<h2>Notes</h2>",
        // Three tools and no G43 in any program.
        "Passes 1, 2, 3, 4 call no tool length",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains("<h2>Findings"), "a note is no finding");
}

#[test]
fn nothing_is_short_by_nothing() {
    for name in ["bracket-shoe", "signal-lamp-bezel"] {
        let source = sample(name);
        let page = text(&recorded(&source, &coarse(&source)), "record.html");
        assert!(!page.contains("short .0000"), "{name}");
    }
}

/// A blank that is short in any position leaves a choice, and a sheet that is not signed before it is made.
#[test]
fn a_block_that_must_not_be_cut_says_so_where_it_is_signed() {
    let source = sample("latch-plate-die");
    let proof = coarse(&source);
    let page = text(&recorded(&source, &proof), "record.html");
    for words in [
        "Decide first: leave it as it lies and add up to .1539 thick in 1 place, .815 long all told; or move the work zero",
        "and add up to .0175 thick in 3 places, 5.294 long all told.",
        "This record has a STOP",
        "<td class=\"n\">short .1539</td>",
        "Where it says &quot;short&quot;",
        // The sawn edge lies .08 outside the ends of an outline of 4 by 2.5.
        ">.080</text>",
        ">4.000</text>",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(!page.contains("First move the work zero"));
    let least = proof.blank.as_ref().expect("a blank").least_margin_at;
    let told = proof.findings.iter().find(|finding| finding.code == Code::BlankShort).expect("a finding");
    assert_eq!(told.station, Some(least), "list, plan and walls speak of one place");
}

/// The walk stops where a pass takes the most, and where it leaves more than it may: the sawn corner of the latch plate is
/// the hypotenuse over .08 and .5 less the arc of .5 away, and 16 mm do not go into a corner of radius 4.
#[test]
fn the_walk_round_stops_where_a_pass_takes_and_leaves_the_most() {
    let proof = coarse(&sample("latch-plate-die"));
    let stops = record::walk(&proof, 0);
    let heaviest: Vec<f64> = stops.iter().filter(|stop| stop.heaviest).map(|stop| stop.cut).collect();
    let corner = 0.58_f64.hypot(0.58) - 0.5 - 0.03;
    assert!(matches!(heaviest[..], [cut] if (cut - corner).abs() < 1e-3), "{heaviest:?}, {corner}");
    let proof = coarse(&sample("shelf-angle-die"));
    for pass in [0, 1] {
        let stops = record::walk(&proof, pass);
        let left: Vec<f64> = stops.iter().filter(|stop| stop.leaves_more).map(|stop| stop.station).collect();
        assert!(matches!(left[..], [station] if (station - 166.84).abs() < 0.5), "{left:?}");
    }
}

/// One word that stands for another zero is told before the pass at which it does.
#[test]
fn touching_off_again_is_told_by_pass() {
    let source = sample("signal-lamp-bezel");
    let page = text(&recorded(&source, &coarse(&source)), "record.html");
    assert!(page.contains("Touch off Z0 again before pass 5, and leave X0 and Y0 as they are: G54 stands for another height there than before."));
}
