//! Jobs come back from their files as they were.

use blockwright_core::control::{
    ArcCenters, CallCount, Control, DwellUnit, HomeAxes, LineEnd, Offset, PassedWord, PlainNumbers,
    ToolChange, UnitWords,
};
use blockwright_core::geometry::pt;
use blockwright_core::job::{
    Basis, Blank, ContactLimits, CribFile, Does, Job, KeepClear, Machine, MaterialFigure, Measured, Part,
    Pass, PathSource, Quantity, Seen, ToConfirm, Travel, Vertex, read, write,
};
use blockwright_core::program::Zero;
use blockwright_core::tool::{Form, Tool};
use blockwright_core::units::Units;

/// Knuth's MMIX generator: the same jobs on every run.
struct Lcg(u64);

impl Lcg {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 33
    }

    fn below(&mut self, limit: u64) -> u64 {
        self.next() % limit
    }

    fn unit(&mut self) -> f64 {
        ((self.next() << 22) ^ self.next()) as f64 / ((1_u64 << 53) as f64)
    }

    /// Whole numbers, short decimals, full floats, small and large ones.
    fn above_zero(&mut self) -> f64 {
        match self.below(5) {
            0 => (1 + self.below(9999)) as f64,
            1 => (1 + self.below(99_999)) as f64 / 1000.0,
            2 => (self.unit() + f64::EPSILON) * 1e-9,
            3 => (self.unit() + 0.01) * 9e8,
            _ => self.unit() * 10.0 + 1e-3,
        }
    }

    fn number(&mut self) -> f64 {
        let value = self.above_zero();
        if self.below(2) == 0 { -value } else { value }
    }

    fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        (self.below(3) > 0).then(|| make(self))
    }

    fn text(&mut self) -> String {
        // What no name may hold, such as a line feed, is replaced as the job is read.
        const ALPHABET: [&str; 10] = ["a", "B", " ", "\"", "\\", "ß", "é", "\u{1F529}", "/", "\u{2014}"];
        let length = self.below(70);
        (0..length).map(|_| ALPHABET[self.below(10) as usize]).chain(["x"]).collect()
    }

    fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len() as u64) as usize]
    }

    fn range(&mut self) -> [f64; 2] {
        [-self.above_zero(), self.above_zero()]
    }
}

fn path(rng: &mut Lcg, pass: Option<&str>) -> PathSource {
    match (rng.below(4), pass) {
        (0, _) => PathSource::File {
            file: rng.text(),
            layer: rng.maybe(Lcg::text),
            units: rng.maybe(|r| r.pick(&[Units::Inch, Units::Mm])),
        },
        (1, Some(name)) => PathSource::FromPass(name.to_owned()),
        _ => {
            // Round a star-shaped figure, so that it encloses something.
            let corners = 3 + rng.below(30);
            let vertices = (0..corners).map(|i| {
                let angle = i as f64 / corners as f64 * std::f64::consts::TAU;
                let radius = 1.0 + rng.unit();
                let bulge = if rng.below(2) == 0 { 0.0 } else { rng.unit() };
                Vertex { at: pt(radius * angle.cos(), radius * angle.sin()), bulge }
            });
            PathSource::Vertices(vertices.collect())
        }
    }
}

fn form(rng: &mut Lcg) -> Form {
    let diameter = rng.above_zero();
    match rng.below(8) {
        0 => Form::Flat { diameter },
        1 => Form::Ball { diameter },
        2 => Form::Bull { diameter, corner_radius: diameter * 0.3 },
        3 => Form::Undercut { diameter, angle: 1.0 + rng.unit() * 20.0, height: diameter * 0.7 },
        4 => Form::EdgeRound {
            pilot_diameter: diameter,
            radius: rng.above_zero(),
            pilot_length: rng.maybe(Lcg::above_zero).unwrap_or(0.0),
        },
        5 => Form::Chamfer { tip_diameter: diameter, angle: 45.0, height: rng.above_zero() },
        6 => Form::Drill { diameter, point_angle: 118.0 },
        _ => Form::Silhouette {
            points: (0..2 + rng.below(9)).map(|i| [rng.above_zero(), i as f64 * 0.1]).collect(),
        },
    }
}

fn control(rng: &mut Lcg) -> Control {
    let low = rng.below(5000) as u32;
    Control {
        program_numbers: rng.maybe(|r| low..=low + r.below(5000) as u32),
        line_end: rng.maybe(|r| r.pick(&[LineEnd::CrLf, LineEnd::Lf, LineEnd::Cr])),
        longest_line: rng.maybe(|r| 1 + r.below(200) as u32),
        plain_numbers: rng.maybe(|r| r.pick(&[PlainNumbers::Units, PlainNumbers::Increments])),
        arc_centers: rng.maybe(|r| r.pick(&[ArcCenters::Incremental, ArcCenters::Absolute])),
        characters: rng.maybe(Lcg::text),
        sequence: rng.maybe(|r| [r.below(100) as u32, 1 + r.below(10) as u32]),
        arc_tolerance: rng.maybe(Lcg::above_zero),
        block_delete: rng.maybe(|r| r.pick(&[true, false])),
        semicolon_comments: rng.maybe(|r| r.pick(&[true, false])),
        unit_words: rng.maybe(|r| r.pick(&[UnitWords::G20G21, UnitWords::G70G71])),
        tool_change: rng.maybe(|r| r.pick(&[ToolChange::M6, ToolChange::T])),
        subprograms: rng.maybe(|r| r.pick(&[CallCount::InL, CallCount::InP])),
        work_offsets: [(); 9].map(|()| rng.maybe(place)),
        home: rng.maybe(place),
        second_home: rng.maybe(place),
        home_axes: rng.maybe(|r| r.pick(&[HomeAxes::All, HomeAxes::Named])),
        length_offsets: offsets(rng),
        diameter_offsets: offsets(rng),
        peck_clearance: rng.maybe(Lcg::above_zero),
        dwell: rng.maybe(|r| r.pick(&[DwellUnit::Seconds, DwellUnit::Milliseconds])),
        moves_nothing: ["M8.1", "G187"]
            .into_iter()
            .filter_map(PassedWord::parse)
            .take(rng.below(3) as usize)
            .collect(),
        more_work_offsets: (1..=rng.below(4) as u16).map(|number| (number, place(rng))).collect(),
        strict: rng.maybe(|r| r.pick(&[true, false])),
    }
}

fn place(rng: &mut Lcg) -> [f64; 3] {
    [rng.number(), rng.number(), rng.number()]
}

fn offsets(rng: &mut Lcg) -> Vec<Offset> {
    (0..rng.below(4) as u32).map(|row| (row * 3, rng.number())).collect()
}

fn tool(rng: &mut Lcg, number: u32) -> Tool {
    Tool {
        number,
        name: rng.maybe(Lcg::text),
        form: form(rng),
        flutes: rng.maybe(|r| 1 + r.below(8) as u32),
        flute_length: rng.maybe(Lcg::above_zero),
        shank_diameter: rng.maybe(Lcg::above_zero),
        stickout: rng.maybe(Lcg::above_zero),
        holder_diameter: rng.maybe(Lcg::above_zero),
    }
}

fn pass(rng: &mut Lcg, index: u64, tool: u32) -> Pass {
    let turn = rng.maybe(Lcg::number).unwrap_or(0.0);
    Pass {
        name: format!("{index} {}", rng.text()),
        program: rng.text(),
        tool,
        does: rng.maybe(|r| r.pick(&Does::ALL).1),
        allowance: rng.maybe(Lcg::number),
        bottom: rng.maybe(Lcg::number),
        zero: Zero { origin: [rng.number(), 0.0, rng.number()], turn },
        measured: measured(rng),
    }
}

/// One value of each kind at the most: no two of the same place.
fn measured(rng: &mut Lcg) -> Vec<Measured> {
    let kinds: Vec<Option<Quantity>> = Quantity::ALL.map(|what| rng.maybe(|_| what)).to_vec();
    let placed = |what| matches!(what, Quantity::StockLeft | Quantity::OverPins);
    let one = |what: Quantity| Measured {
        what,
        station: placed(what).then(|| rng.above_zero()),
        pins: (what == Quantity::OverPins).then(|| rng.above_zero()),
        value: rng.number(),
    };
    kinds.into_iter().flatten().map(one).collect()
}

fn keep_clear(rng: &mut Lcg, index: u64) -> KeepClear {
    let centre = pt(rng.number(), rng.number());
    let area = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0]];
    let vertex = |[x, y]: [f64; 2]| Vertex { at: pt(centre.x + x, centre.y + y), bulge: 0.25 };
    KeepClear { name: format!("{}{index}", rng.text()), area: area.map(vertex).to_vec(), top: rng.number() }
}

fn job(rng: &mut Lcg) -> Job {
    let tools: Vec<Tool> = (1..=1 + rng.below(4)).map(|n| tool(rng, n as u32 * 3)).collect();
    let passes: Vec<Pass> = (0..rng.below(6)).map(|i| pass(rng, i, tools[0].number)).collect();
    let first = passes.first().map(|pass| pass.name.as_str());
    let light = rng.above_zero();
    Job {
        name: rng.maybe(Lcg::text),
        units: rng.pick(&[Units::Inch, Units::Mm]),
        outline: rng.maybe(|r| path(r, first)),
        blank: rng.maybe(|r| Blank {
            edge: path(r, None),
            top: r.number(),
            thickness: r.above_zero(),
            material: r.maybe(Lcg::text),
            at: r.maybe(|r| [r.number(), r.number(), r.number()]),
        }),
        bed_top: rng.maybe(Lcg::number),
        walls: (0..rng.below(3)).map(|index| index as f64 * 1.25).collect(),
        keep_clear: (0..rng.below(3)).map(|index| keep_clear(rng, index)).collect(),
        gauge_height: rng.maybe(Lcg::number),
        land: rng.maybe(Lcg::above_zero),
        contact: rng.maybe(|r| ContactLimits {
            light_below: r.maybe(|_| light),
            heavy_above: r.maybe(|_| light * 1.05),
        }),
        machine: rng.maybe(|r| Machine {
            rapid: r.maybe(Lcg::above_zero),
            spindle_max: r.maybe(Lcg::above_zero),
            power: r.maybe(Lcg::above_zero),
            travel: r.maybe(|r| Travel {
                x: r.maybe(Lcg::range),
                y: r.maybe(Lcg::range),
                z: r.maybe(Lcg::range),
            }),
        }),
        control: rng.maybe(control),
        materials: (0..rng.below(3))
            .map(|index| MaterialFigure {
                name: format!("{index} {}", rng.text()),
                unit_power: rng.above_zero(),
                source: rng.maybe(|r| format!("from {}", r.text())),
            })
            .collect(),
        crib: rng.maybe(|r| CribFile::named(r.text())),
        to_confirm: to_confirm(rng, &tools, &passes),
        seen: (0..rng.below(3))
            .map(|_| Seen {
                code: rng.text(),
                pass: rng.maybe(Lcg::text),
                line: rng.maybe(|r| 1 + r.below(9) as u32),
                station: rng.maybe(Lcg::above_zero),
                amount: rng.maybe(Lcg::number),
            })
            .collect(),
        tools,
        passes,
    }
}

/// What waits to be confirmed, of what is there.
fn to_confirm(rng: &mut Lcg, tools: &[Tool], passes: &[Pass]) -> Vec<ToConfirm> {
    let tool = |r: &mut Lcg| {
        Part::Tool(tools[r.below(tools.len() as u64) as usize].number, r.pick(&["form", "angle"]))
    };
    let mut parts = vec![Part::Job("units"), Part::Job("passes")];
    if !tools.is_empty() {
        parts.push(tool(rng));
    }
    parts.extend(passes.iter().map(|pass| Part::Pass(pass.name.clone(), rng.pick(&["bottom", "zero"]))));
    parts
        .into_iter()
        .filter_map(|part| {
            rng.maybe(|r| ToConfirm {
                part,
                from: basis(r),
                against: (0..r.below(2)).map(|_| basis(r)).collect(),
                note: r.maybe(Lcg::text),
            })
        })
        .collect()
}

fn basis(rng: &mut Lcg) -> Basis {
    let (program, line) = (rng.text(), 1 + rng.below(9999) as u32);
    match rng.below(6) {
        0 => Basis::Comment { program, line },
        1 => Basis::Word { word: "T1".to_owned(), program, line },
        2 => Basis::Motion { program, line },
        3 => Basis::Paths,
        4 => Basis::FileNames,
        _ => Basis::Usual,
    }
}

#[test]
fn any_job_comes_back_the_same() {
    let mut rng = Lcg(20_240_611);
    for round in 0..500 {
        let job = job(&mut rng);
        let text = write(&job);
        match read(text.as_bytes()) {
            Ok(back) => assert_eq!(back, job, "round {round}"),
            Err(error) => panic!("round {round}: {error}\n{text}"),
        }
        assert!(text.ends_with("}\n") && !text.contains("null"), "round {round}");
    }
}

#[test]
fn the_text_is_laid_out_for_people() {
    let tool = Tool {
        number: 1,
        name: Some("1/2 roughing end mill".to_owned()),
        form: Form::Flat { diameter: 0.5 },
        flutes: Some(4),
        flute_length: Some(1.25),
        shank_diameter: Some(0.5),
        stickout: Some(1.75),
        holder_diameter: Some(1.5),
    };
    let job = Job {
        name: None,
        units: Units::Inch,
        outline: None,
        blank: None,
        bed_top: Some(-1.0),
        keep_clear: vec![KeepClear {
            name: "clamp 1".to_owned(),
            area: [[1.0, 0.0], [2.0, 0.0], [2.0, 0.5]]
                .map(|[x, y]| Vertex { at: pt(x, y), bulge: 0.0 })
                .to_vec(),
            top: 0.75,
        }],
        gauge_height: Some(0.1),
        land: Some(0.03),
        contact: None,
        walls: vec![1.5, 0.0],
        machine: None,
        control: None,
        tools: vec![tool],
        materials: vec![MaterialFigure {
            name: "aluminum".to_owned(),
            unit_power: 0.3,
            source: Some("measured".to_owned()),
        }],
        crib: Some(CribFile::named("shop.json".to_owned())),
        passes: Vec::new(),
        seen: Vec::new(),
        to_confirm: vec![ToConfirm {
            against: vec![Basis::Usual],
            note: Some("Look.".to_owned()),
            ..ToConfirm::new(Part::Tool(1, "form"), Basis::Comment { program: "1.nc".to_owned(), line: 4 })
        }],
    };
    let expected = r#"{
  "schema": "blockwright-job/1",
  "units": "inch",
  "bed": { "top": -1 },
  "keep_clear": [
    { "name": "clamp 1", "area": { "vertices": [[1, 0], [2, 0], [2, 0.5]] }, "top": 0.75 }
  ],
  "gauge_height": 0.1,
  "land": 0.03,
  "walls": [1.5, 0],
  "tools": [
    {
      "number": 1,
      "name": "1/2 roughing end mill",
      "form": { "kind": "flat", "diameter": 0.5 },
      "flutes": 4,
      "flute_length": 1.25,
      "shank_diameter": 0.5,
      "stickout": 1.75,
      "holder_diameter": 1.5
    }
  ],
  "materials": [{ "name": "aluminum", "unit_power": 0.3, "source": "measured" }],
  "crib": "shop.json",
  "passes": [],
  "to_confirm": [
    {
      "tool": 1,
      "key": "form",
      "from": { "kind": "comment", "program": "1.nc", "line": 4 },
      "against": [{ "kind": "usual" }],
      "note": "Look."
    }
  ]
}
"#;
    assert_eq!(write(&job), expected);
}

/// A line is longer than 100 characters only where a single text is.
#[test]
fn lines_stay_within_their_width() {
    let mut rng = Lcg(7);
    for _ in 0..200 {
        for line in write(&job(&mut rng)).lines() {
            let list = line.contains(": [") || line.contains(": {");
            assert!(line.chars().count() <= 100 || !list || line.contains('\\'), "{line}");
        }
    }
}

/// A number that is not one is refused at its place when the file is read again.
#[test]
fn a_number_that_is_not_finite_is_refused_on_reading() {
    let mut job = job(&mut Lcg(1));
    job.gauge_height = Some(f64::NAN);
    let error = read(write(&job).as_bytes()).expect_err("refused");
    assert_eq!(error.key, "gauge_height");
}
