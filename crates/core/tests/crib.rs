//! The tool crib: a file of its own, a key of the job, and tools brought from one into the other.

use blockwright_core::cutting::unit_power;
use blockwright_core::job::{Clash, Crib, Job, MaterialFigure, read, read_crib, write, write_crib};
use blockwright_core::tool::{Form, Tool};
use blockwright_core::units::Units;

fn tool(number: u32, form: Form) -> Tool {
    Tool {
        number,
        name: Some(format!("tool {number}")),
        form,
        flutes: Some(3),
        flute_length: Some(1.0),
        shank_diameter: Some(0.5),
        stickout: Some(1.5),
        holder_diameter: None,
    }
}

fn flat(number: u32, diameter: f64) -> Tool {
    tool(number, Form::Flat { diameter })
}

fn all() -> Vec<Form> {
    vec![
        Form::Flat { diameter: 0.5 },
        Form::Ball { diameter: 0.25 },
        Form::Bull { diameter: 0.5, corner_radius: 0.0625 },
        Form::Undercut { diameter: 1.0, angle: 10.0, height: 0.5 },
        Form::EdgeRound { pilot_diameter: 0.25, radius: 0.125, pilot_length: 0.05 },
        Form::Chamfer { tip_diameter: 0.1, angle: 45.0, height: 0.25 },
        Form::Drill { diameter: 0.25, point_angle: 118.0 },
        Form::Silhouette { points: vec![[0.1, 0.0], [0.25, 0.5]] },
    ]
}

/// A job with tool 1 of its own, a pass with this tool, and these keys.
fn job(pass_tool: u32, keys: &str) -> Result<Job, String> {
    let text = format!(
        r#"{{"schema":"blockwright-job/1","units":"inch",{keys}
        "tools":[{{"number":1,"form":{{"kind":"flat","diameter":0.5}}}}],
        "passes":[{{"name":"a","program":"1.nc","tool":{pass_tool}}}]}}"#
    );
    read(text.as_bytes()).map_err(|error| error.to_string())
}

const SHARED: &str = r#""crib":"shop.json","#;

#[test]
fn a_crib_comes_back_as_it_was_written() {
    let numbered = |(number, form): (u32, Form)| tool(number, form);
    for units in [Units::Inch, Units::Mm] {
        let aluminium = MaterialFigure { name: "aluminium".to_owned(), unit_power: 0.3, source: None };
        let crib =
            Crib { units, tools: (1..).zip(all()).map(numbered).collect(), materials: vec![aluminium] };
        assert_eq!(read_crib(write_crib(&crib).as_bytes()), Ok(crib));
    }
}

#[test]
fn a_crib_that_cannot_be_used_is_refused_at_its_place() {
    const HEAD: &str = r#"{"schema": "blockwright-crib/1", "units": "inch", "tools": ["#;
    let flat = r#"{"number": 1, "form": {"kind": "flat", "diameter": 0.5}}"#;
    let cases = [
        (format!("{HEAD}{flat},\n{flat}]}}"), 2, "tools[1].number", "already a tool 1"),
        (format!("{HEAD}{}]}}", flat.replace("0.5", "0")), 1, "tools[0].form.diameter", "above 0"),
        (format!("{HEAD}], \"passes\": []}}"), 1, "passes", "unknown key"),
        (HEAD.replace("crib/1", "crib/2") + "]}", 1, "schema", "newer Blockwright"),
        (HEAD.replace("crib/1", "job/1") + "]}", 1, "schema", "not a crib file"),
        (HEAD.replace("\"units\": \"inch\", ", "") + "]}", 1, "units", "missing"),
        ("G0 X0".to_owned(), 1, "", "looks like a program, not a crib file"),
        (String::new(), 1, "", "empty"),
    ];
    for (text, line, key, message) in cases {
        let error = read_crib(text.as_bytes()).expect_err("cannot be used");
        assert_eq!((error.line, error.key.as_str()), (line, key), "{text}");
        assert!(error.message.contains(message), "{text}: {error}");
    }
}

/// 25.4 mm to the inch; angles and flutes have no length. Derived.
#[test]
fn a_crib_in_the_other_unit_is_converted_and_back_again() {
    let crib = Crib {
        units: Units::Mm,
        tools: vec![flat(7, 25.4), tool(8, all().remove(3))],
        materials: Vec::new(),
    };
    let inch = crib.tools_in(Units::Inch);
    assert_eq!(inch[0].form, Form::Flat { diameter: 1.0 });
    assert_eq!((inch[0].flutes, inch[0].number), (Some(3), 7));
    assert!(matches!(inch[1].form, Form::Undercut { angle: 10.0, .. }));
    for form in all() {
        let here = tool(1, form);
        let there = here.converted(Units::Inch, Units::Mm);
        assert_eq!(there.converted(Units::Mm, Units::Inch), here);
        assert!((there.form.radius() - here.form.radius() * 25.4).abs() < 1e-8, "{}", here.form.kind());
        assert!((there.form.profile().top().y - here.form.profile().top().y * 25.4).abs() < 1e-8);
        assert!(there.form.check().is_ok());
    }
}

#[test]
fn a_job_with_a_crib_is_completed_by_it_and_writes_its_own_tools_alone() {
    let read = job(7, SHARED).expect("what the crib holds is not known yet");
    assert!(read.tool(7).is_none());
    let crib = Crib { units: Units::Mm, tools: vec![flat(7, 25.4), flat(1, 50.8)], materials: Vec::new() };
    let whole = read.clone().with_crib(&crib).expect("every tool is there");
    assert_eq!(whole.tool(7).map(|tool| tool.form.radius()), Some(0.5));
    assert_eq!(whole.tool(1).map(|tool| tool.form.radius()), Some(0.25), "the job's own counts");
    assert_eq!(whole.all_tools().map(|tool| tool.number).collect::<Vec<_>>(), [1, 7]);
    assert_eq!(write(&whole), write(&read));
    assert!(write(&whole).contains(r#""crib": "shop.json""#));
}

#[test]
fn a_tool_that_neither_has_is_told_with_those_there_are() {
    let crib = Crib { units: Units::Inch, tools: vec![flat(7, 1.0)], materials: Vec::new() };
    let error = job(9, SHARED).expect("read").with_crib(&crib).expect_err("no tool 9");
    for words in ["pass \"a\" names tool 9", "in shop.json", "those given: 1, 7"] {
        assert!(error.contains(words), "{error}");
    }
    let error = job(9, "").expect_err("without a crib it is told at its place");
    assert!(error.contains("pass 1 \"a\", tool") && error.contains("no tool 9"), "{error}");
    let plain = job(1, "").expect("read");
    assert_eq!(plain.clone().with_crib(&crib), Ok(plain), "a job that shares none stays as it is");
    assert!(job(1, r#""crib":"","#).is_err() && job(1, r#""crib":7,"#).is_err());
}

#[test]
fn a_tool_is_brought_in_as_was_asked() {
    let with = |number: u32, clash: Clash| {
        let mut job = job(1, "").expect("read");
        let number = job.bring_in(flat(number, 2.0), clash);
        (number, job.tools.iter().map(|tool| (tool.number, tool.form.radius())).collect::<Vec<_>>())
    };
    assert_eq!(with(5, Clash::Replace), (5, vec![(1, 0.25), (5, 1.0)]));
    assert_eq!(with(1, Clash::Replace), (1, vec![(1, 1.0)]));
    assert_eq!(with(1, Clash::Renumber), (2, vec![(1, 0.25), (2, 1.0)]));
    let crib = Crib { units: Units::Inch, tools: vec![flat(2, 1.0)], materials: Vec::new() };
    let shared = job(1, SHARED).expect("read").with_crib(&crib).expect("complete");
    assert_eq!(shared.free_tool_number(), 3);
}

/// A figure for a material is the job's own, else its crib's, else one known from the start.
#[test]
fn figures_for_materials_come_from_the_job_then_the_crib() {
    let figure = |name: &str, unit_power: f64, source: &str| MaterialFigure {
        name: name.to_owned(),
        unit_power,
        source: Some(source.to_owned()),
    };
    let with = |keys: &str, materials: Vec<MaterialFigure>| {
        let keys = format!(
            r#""blank":{{"edge":{{"vertices":[[0,0],[1,0],[1,1]]}},"top":0,"thickness":1,"material":"Aluminum 6061-T6"}},
            {keys}{SHARED}"#
        );
        let crib = Crib { units: Units::Mm, tools: Vec::new(), materials };
        job(1, &keys).expect("a job").with_crib(&crib).expect("its tool is its own")
    };
    let of = |job: &Job| {
        let material = job.material().expect("aluminium is known");
        (unit_power(Units::Inch, material.specific_force).expect("a power"), material.source)
    };
    let known = of(&with("", Vec::new()));
    assert!((known.0 - 0.33).abs() < 1e-4, "{known:?}");
    // 0.0182 kW for each cm3/min: 0.0182 * 16.387064 / 0.7456999 = 0.3999525 hp for each in3/min.
    let crib = vec![figure("aluminium 6061-T6", 0.0182, "crib")];
    let (power, source) = of(&with("", crib.clone()));
    assert!((power - 0.399_952_5).abs() < 1e-6 && source == "crib", "{power} {source}");
    let own = r#""materials":[{"name":"aluminium 6061-t6","unit_power":0.25,"source":"own"}],"#;
    let (power, source) = of(&with(own, crib));
    assert!((power - 0.25).abs() < 1e-9 && source == "own", "{power} {source}");
    let nothing = r#""materials":[{"name":"aluminium","unit_power":0}],"#;
    let refused = job(1, nothing).expect_err("no power at all");
    assert!(
        refused.contains("material 1 \"aluminium\", unit_power") && refused.contains("above 0"),
        "{refused}"
    );
    let twice = r#""materials":[{"name":"a","unit_power":1},{"name":"A","unit_power":2}],"#;
    assert!(job(1, twice).expect_err("two figures").contains("already a figure"));
}
