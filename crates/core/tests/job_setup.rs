//! Jobs made from bare programs.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use blockwright_core::geometry::{Point3, pt, pt3};
use blockwright_core::job::{Job, PathSource, Vertex, read, write};
use blockwright_core::program::{Curve, Kind, Known, Motion, Plane};
use blockwright_core::suggest::{BlankSetup, Setup};
use blockwright_core::tool::Form;
use blockwright_core::units::Units;

fn motion(kind: Kind, start: Point3, end: Point3, curve: Curve) -> Motion {
    Motion {
        start,
        end,
        curve,
        feed: 10.0,
        spindle: 1000.0,
        line: 1,
        tool: 0,
        kind,
        proven: true,
        start_known: Known::ALL,
        end_known: Known::ALL,
    }
}

fn feed(start: Point3, end: Point3) -> Motion {
    motion(Kind::Feed, start, end, Curve::Straight)
}

/// Down from a rapid, round a 4 by 3 rectangle at `depth`, up again.
fn rectangle(depth: f64) -> Vec<Motion> {
    let at = |x, y| pt3(x, y, depth);
    vec![
        motion(Kind::Rapid, pt3(-9.0, -9.0, 1.0), pt3(0.0, 0.0, 0.1), Curve::Straight),
        feed(pt3(-2.0, 0.0, 0.1), pt3(0.0, 0.0, 0.1)),
        feed(pt3(0.0, 0.0, 0.1), at(0.0, 0.0)),
        feed(at(0.0, 0.0), at(4.0, 0.0)),
        feed(at(4.0, 0.0), at(4.0, 3.0)),
        feed(at(4.0, 3.0), at(0.0, 3.0)),
        feed(at(0.0, 3.0), at(0.0, 0.0)),
    ]
}

/// Lowest and highest corner of the blank.
fn corners(job: &Job) -> Option<[f64; 4]> {
    let PathSource::Vertices(edge) = &job.blank.as_ref()?.edge else { return None };
    let [a, b, c, d] = edge[..] else { return None };
    assert!(a.at.x == d.at.x && a.at.y == b.at.y && b.at.x == c.at.x && c.at.y == d.at.y);
    Some([a.at.x, a.at.y, c.at.x, c.at.y])
}

fn assert_close(got: Option<[f64; 4]>, want: [f64; 4]) {
    let got = got.unwrap_or([f64::NAN; 4]);
    assert!(got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-9), "{got:?} is not {want:?}");
}

#[test]
fn a_suggestion_makes_a_job_that_can_be_read() {
    let motions = rectangle(-1.02);
    let setup = Setup::suggest(Units::Inch, "jobs/1001.nc", &motions);
    assert_eq!(setup.form, Form::Flat { diameter: 0.5 });
    assert_eq!((setup.top, setup.thickness, setup.name.as_str()), (0.0, 1.02, "1001"));
    let job = setup.job("1001.nc", &motions).expect("a job");
    assert_close(corners(&job), [-0.35, -0.35, 4.35, 3.35]);
    assert_eq!(job.passes[0].program, "1001.nc");
    assert_eq!(job.passes[0].tool, 1);
    assert_eq!(read(write(&job).as_bytes()), Ok(job));
}

#[test]
fn millimetres_and_odd_programs_have_their_own_suggestions() {
    let setup = Setup::suggest(Units::Mm, "a.b.nc", &rectangle(-20.0));
    assert_eq!(setup.form, Form::Flat { diameter: 12.0 });
    assert_eq!((setup.thickness, setup.name.as_str()), (20.0, "a.b"));
    assert_eq!(setup.blank, BlankSetup::Margin(2.5));
    // Never below the top, hardly below it, and nothing at all.
    assert_eq!(Setup::suggest(Units::Inch, ".nc", &rectangle(0.5)).thickness, 1.0);
    assert_eq!(Setup::suggest(Units::Inch, "", &rectangle(-0.01)).thickness, 0.1);
    assert_eq!(Setup::suggest(Units::Mm, "x", &[]).thickness, 25.0);
}

#[test]
fn the_tool_has_the_number_the_program_calls() {
    let mut motions = rectangle(-1.0);
    motions.iter_mut().skip(2).for_each(|motion| motion.tool = 12);
    let job = Setup::suggest(Units::Inch, "x", &motions).job("x.nc", &motions).expect("a job");
    assert_eq!((job.tools[0].number, job.passes[0].tool), (12, 12));
}

#[test]
fn arcs_count_as_far_as_they_reach() {
    let arc = |plane, centre, sweep, start, end| {
        motion(Kind::Feed, start, end, Curve::Arc { plane, centre, sweep })
    };
    let setup = Setup {
        units: Units::Inch,
        form: Form::Ball { diameter: 1.0 },
        blank: BlankSetup::Margin(0.0),
        outline: None,
        top: 0.0,
        thickness: 1.0,
        name: String::new(),
    };
    let swept = |motion: Motion| setup.job("x.nc", &[motion]).ok().as_ref().and_then(corners);
    let (right, left, low) = (pt3(2.0, 0.0, -1.0), pt3(-2.0, 0.0, -1.0), pt3(0.0, -2.0, -1.0));
    let origin = pt(0.0, 0.0);
    assert_close(swept(arc(Plane::Xy, origin, PI, right, left)), [-2.5, -0.5, 2.5, 2.5]);
    assert_close(swept(arc(Plane::Xy, origin, -PI, right, left)), [-2.5, -2.5, 2.5, 0.5]);
    assert_close(swept(arc(Plane::Xy, origin, TAU, right, right)), [-2.5, -2.5, 2.5, 2.5]);
    assert_close(swept(arc(Plane::Xy, origin, -FRAC_PI_2, right, low)), [-0.5, -2.5, 2.5, 0.5]);
    // A scoop in the ZX plane: its lowest point lies between its ends.
    let (from, to) = (pt3(1.0, 0.0, 0.0), pt3(-1.0, 0.0, 0.0));
    let scoop = arc(Plane::Zx, origin, PI, from, to);
    assert_eq!(Setup::suggest(Units::Inch, "x", &[scoop]).thickness, 1.0);
}

#[test]
fn corners_may_come_in_any_order() {
    let motions = rectangle(-1.0);
    let mut setup = Setup::suggest(Units::Inch, "x.nc", &motions);
    setup.blank = BlankSetup::Corners([5.0, -1.0], [-1.0, 4.0]);
    setup.outline =
        Some([(0.0, 0.0), (4.0, 0.0), (4.0, 3.0)].map(|(x, y)| Vertex { at: pt(x, y), bulge: 0.0 }).to_vec());
    let job = setup.job("x.nc", &[]).expect("a job");
    assert_close(corners(&job), [-1.0, -1.0, 5.0, 4.0]);
    assert_eq!(read(write(&job).as_bytes()), Ok(job));
}

/// A change to a good setup and what is said of it.
type Spoil = (fn(&mut Setup), &'static str);

#[test]
fn setups_that_make_no_job_say_why() {
    let motions = rectangle(-1.0);
    let cases: [Spoil; 8] = [
        (|s| s.form = Form::Flat { diameter: 0.0 }, "the cutter's diameter: must be above 0"),
        (|s| s.form = Form::Bull { diameter: 1.0, corner_radius: 0.0 }, "the cutter's corner radius"),
        (|s| s.thickness = 0.0, "thickness must be above 0"),
        (|s| s.top = f64::NAN, "top of the blank"),
        (|s| s.blank = BlankSetup::Margin(-9.0), "no area"),
        (|s| s.blank = BlankSetup::Margin(f64::INFINITY), "not a number"),
        (|s| s.blank = BlankSetup::Corners([0.0, 0.0], [0.0, 3.0]), "no area"),
        (|s| s.outline = Some(Vec::new()), "the outline: a closed path needs at least two"),
    ];
    for (spoil, part) in cases {
        let mut setup = Setup::suggest(Units::Inch, "x.nc", &motions);
        spoil(&mut setup);
        let message = setup.job("x.nc", &motions).expect_err(part);
        assert!(message.contains(part), "{message}");
    }
    let setup = Setup::suggest(Units::Inch, "x.nc", &motions);
    assert!(setup.job("x.nc", &[]).expect_err("no motion").contains("has no feed move"));
    assert!(setup.job(" ", &motions).expect_err("no file").contains("file name"));
}
