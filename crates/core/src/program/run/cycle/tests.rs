//! Published checks of the canned cycles, their errors, and what lines keep.

use super::*;
use crate::geometry::pt3;

const G17: Plane = Plane::Xy;

fn setting(absolute: bool, to_clear: bool) -> CycleSetting {
    CycleSetting { plane: G17, absolute, to_clear, turning: 1, chip_break: 0.01 }
}

/// Words from letters and numbers, as in `X4 Y5 Z1.5 R2.8`, for G17.
fn words(text: &str) -> CycleWords {
    let mut words = CycleWords::default();
    for word in text.split_whitespace() {
        let (letter, number) = word.split_at(1);
        let number = Some(number.parse().expect("a number"));
        match letter {
            "X" => words.first = number,
            "Y" => words.second = number,
            "Z" => words.along = number,
            "R" => words.retract = number,
            "Q" => words.peck = number,
            "P" => words.dwell = number,
            "L" => words.repeats = number,
            _ => panic!("{letter}"),
        }
    }
    words
}

/// Steps as a person would list them: `r` rapid, `f` feed, `p` dwell, `m` spindle.
fn shown(steps: &[Step]) -> String {
    // rounding must not show, nor minus zero
    let number = |value: f64| format!("{}", (value * 1e9).round() / 1e9 + 0.0);
    let point = |p: Point3| [p.x, p.y, p.z].map(number).join(" ");
    let show = |step: &Step| match *step {
        Step::Rapid(p) => format!("r {}", point(p)),
        Step::Feed(p) => format!("f {}", point(p)),
        Step::Dwell(seconds) => format!("p {}", number(seconds)),
        Step::Spindle(turning) => format!("m {turning}"),
    };
    steps.iter().map(show).collect::<Vec<_>>().join(", ")
}

/// One line from a fresh start.
fn run(
    kind: CycleKind,
    text: &str,
    setting: &CycleSetting,
    from: Point3,
) -> (Result<(), CycleFault>, Vec<Step>) {
    let mut out = Vec::new();
    let result = steps(kind, &words(text), &mut CycleState::default(), setting, from, &mut out);
    (result, out)
}

fn check(kind: CycleKind, text: &str, setting: &CycleSetting, from: Point3, want: &str) {
    let (result, out) = run(kind, text, setting, from);
    assert_eq!(result, Ok(()), "{kind:?} {text}");
    assert_eq!(shown(&out), want, "{kind:?} {text}");
}

/// NISTIR 6556, 3.5.16 (the two examples of G81) and table 10: published.
#[test]
fn published_step_lists() {
    check(
        CycleKind::G81,
        "X4 Y5 Z1.5 R2.8",
        &setting(true, true),
        pt3(1.0, 2.0, 3.0),
        "r 4 5 3, r 4 5 2.8, f 4 5 1.5, r 4 5 3",
    );
    check(
        CycleKind::G81,
        "X4 Y5 Z-0.6 R1.8 L3",
        &setting(false, true),
        pt3(1.0, 2.0, 3.0),
        "r 1 2 4.8, r 5 7 4.8, f 5 7 4.2, r 5 7 4.8, r 9 12 4.8, f 9 12 4.2, r 9 12 4.8, \
         r 13 17 4.8, f 13 17 4.2, r 13 17 4.8",
    );
    for to_clear in [true, false] {
        check(
            CycleKind::G81,
            "X3 Y2 Z-0.8 R1.5 L2",
            &setting(false, to_clear),
            pt3(30.0, 1.0, -0.5),
            "r 30 1 1, r 33 3 1, f 33 3 0.2, r 33 3 1, r 36 5 1, f 36 5 0.2, r 36 5 1",
        );
    }
}

/// NISTIR 6556, 3.5.16: published. The ways out, at one place, from above R.
#[test]
fn each_cycle_comes_out_its_own_way() {
    let from = pt3(0.0, 0.0, 2.0);
    for (kind, text, ending) in [
        (CycleKind::G81, "X0 R1 Z-1", "r 0 0 2"),
        (CycleKind::G82, "X0 R1 Z-1 P0.5", "p 0.5, r 0 0 2"),
        (CycleKind::G84, "X0 R1 Z-1", "m 0, m -1, f 0 0 2, m 0, m 1"),
        (CycleKind::G85, "X0 R1 Z-1", "f 0 0 2"),
        (CycleKind::G86, "X0 R1 Z-1 P0", "m 0, r 0 0 2, m 1"),
        (CycleKind::G86, "X0 R1 Z-1 P2", "p 2, m 0, r 0 0 2, m 1"),
        (CycleKind::G89, "X0 R1 Z-1 P1", "p 1, f 0 0 2"),
    ] {
        let want = format!("r 0 0 1, f 0 0 -1, {ending}");
        check(kind, text, &setting(true, true), from, &want);
    }
    let anticlockwise = CycleSetting { turning: -1, ..setting(true, false) };
    let want = "r 0 0 1, f 0 0 -1, m 0, r 0 0 1, m -1";
    check(CycleKind::G86, "X0 R1 Z-1 P0", &anticlockwise, from, want);
}

/// NISTIR 6556, 3.5.16, G83: published, but for how far above the bottom the rapid ends.
#[test]
fn pecks_come_out_each_time() {
    check(
        CycleKind::G83,
        "X1 Y1 R0.1 Z-0.5 Q0.25",
        &setting(true, false),
        pt3(0.0, 0.0, 1.0),
        "r 1 1 1, r 1 1 0.1, f 1 1 -0.15, r 1 1 0.1, r 1 1 -0.14, f 1 1 -0.4, r 1 1 0.1, \
         r 1 1 -0.39, f 1 1 -0.5, r 1 1 0.1",
    );
    check(
        CycleKind::G83,
        "X0 R0 Z-0.3 Q0.2",
        &setting(true, true),
        pt3(0.0, 0.0, 1.0),
        "r 0 0 0, f 0 0 -0.2, r 0 0 1, r 0 0 -0.19, f 0 0 -0.3, r 0 0 1",
    );
}

/// G73: common practice, no source.
#[test]
fn chips_are_broken_within_the_hole() {
    check(
        CycleKind::G73,
        "X0 R0 Z-0.5 Q0.2",
        &setting(true, true),
        pt3(0.0, 0.0, 1.0),
        "r 0 0 0, f 0 0 -0.2, r 0 0 -0.19, f 0 0 -0.4, r 0 0 -0.39, f 0 0 -0.5, r 0 0 1",
    );
    // never back off above R
    let coarse = CycleSetting { chip_break: 0.5, ..setting(true, false) };
    let want = "f 0 0 -0.2, r 0 0 0, f 0 0 -0.3, r 0 0 0";
    check(CycleKind::G73, "X0 R0 Z-0.3 Q0.2", &coarse, pt3(0.0, 0.0, 0.0), want);
}

#[test]
fn a_peck_that_just_reaches_the_bottom_leaves_no_sliver() {
    // 0.3 is not three times 0.1 in floating point
    let (result, out) = run(CycleKind::G83, "X0 R0 Z-0.3 Q0.1", &setting(true, false), Point3::default());
    assert_eq!(result, Ok(()));
    assert_eq!(out.iter().filter(|step| matches!(step, Step::Feed(_))).count(), 3);
}

#[test]
fn the_hand_retract_stops_at_the_bottom() {
    let (result, out) = run(CycleKind::G88, "X1 R1 Z-1 P3 L4", &setting(true, true), Point3::default());
    assert_eq!(result, Err(CycleFault::HandRetract));
    assert_eq!(shown(&out), "r 0 0 1, r 1 0 1, f 1 0 -1, p 3, m 0");
}

/// NISTIR 6556, 3.5.16: published errors, and those of the definition of a sticky number.
#[test]
fn errors_by_name_and_word() {
    let good = setting(true, true);
    let still = CycleSetting { turning: 0, ..good };
    let left = CycleSetting { turning: -1, ..good };
    for (kind, text, setting, fault, letter) in [
        (CycleKind::G81, "Z-1 R1", good, None, None),
        (CycleKind::G81, "R1", good, Some(CycleFault::NoAxes), None),
        (CycleKind::G81, "X1 R1", good, Some(CycleFault::NoDepth), None),
        (CycleKind::G81, "X1 Z-1", good, Some(CycleFault::NoRetract), None),
        (CycleKind::G81, "X1 Z-1 R-1.1", good, Some(CycleFault::RetractBelow), Some(b'R')),
        (CycleKind::G81, "X1 Z-1 R-1", good, None, None),
        (CycleKind::G81, "X1 Z-1 R1 L0", good, Some(CycleFault::BadRepeats), Some(b'L')),
        (CycleKind::G81, "X1 Z-1 R1 L-2", good, Some(CycleFault::BadRepeats), Some(b'L')),
        (CycleKind::G81, "X1 Z-1 R1 L1.5", good, Some(CycleFault::BadRepeats), Some(b'L')),
        (CycleKind::G81, "X1 Z-1 R1 L2.00005", good, None, None),
        (CycleKind::G81, "X1 Z-1 R1 L2000000", good, Some(CycleFault::TooManySteps), None),
        (CycleKind::G81, "X1 Z-1 R1 Q1", good, Some(CycleFault::Unused(b'Q')), Some(b'Q')),
        (CycleKind::G81, "X1 Z-1 R1 P1", good, Some(CycleFault::Unused(b'P')), Some(b'P')),
        (CycleKind::G82, "X1 Z-1 R1", good, Some(CycleFault::NoDwell), None),
        (CycleKind::G82, "X1 Z-1 R1 P-0.1", good, Some(CycleFault::NegativeDwell), Some(b'P')),
        (CycleKind::G83, "X1 Z-1 R1", good, Some(CycleFault::NoPeck), None),
        (CycleKind::G83, "X1 Z-1 R1 Q0", good, Some(CycleFault::BadPeck), Some(b'Q')),
        (CycleKind::G73, "X1 Z-1 R1 Q-1", good, Some(CycleFault::BadPeck), Some(b'Q')),
        (CycleKind::G83, "X1 Z-1 R1 Q1e-9", good, Some(CycleFault::TooManySteps), None),
        (CycleKind::G84, "X1 Z-1 R1", still, Some(CycleFault::TapDirection), None),
        (CycleKind::G84, "X1 Z-1 R1", left, Some(CycleFault::TapDirection), None),
        (CycleKind::G86, "X1 Z-1 R1 P0", still, Some(CycleFault::SpindleOff), None),
        (CycleKind::G88, "X1 Z-1 R1 P0", still, Some(CycleFault::SpindleOff), None),
        (CycleKind::G87, "X1 Z-1 R1", good, Some(CycleFault::BackBoring), None),
    ] {
        let (result, out) = run(kind, text, &setting, pt3(0.0, 0.0, 5.0));
        assert_eq!(result.err(), fault, "{kind:?} {text}");
        if let Some(fault) = fault {
            assert!(out.is_empty(), "{kind:?} {text}");
            assert_eq!(fault.letter(), letter);
            let why = why(&fault);
            assert!(why.len() > 40 && why.ends_with('.'), "{why}");
        }
    }
}

#[test]
fn in_incremental_distance_a_depth_above_r_is_refused() {
    let (result, _) = run(CycleKind::G81, "X1 Z0.5 R1", &setting(false, true), Point3::default());
    assert_eq!(result, Err(CycleFault::RetractBelow));
}

/// Runs lines one after another, each from where the last one ended.
fn run_lines(lines: &[(CycleKind, &str, CycleSetting)], from: Point3) -> Vec<Result<String, CycleFault>> {
    let (mut state, mut at) = (CycleState::default(), from);
    let mut one = |&(kind, text, ref setting): &(CycleKind, &str, CycleSetting)| {
        let mut out = Vec::new();
        let result = steps(kind, &words(text), &mut state, setting, at, &mut out);
        for step in &out {
            if let Step::Rapid(p) | Step::Feed(p) = *step {
                at = p;
            }
        }
        result.map(|()| shown(&out))
    };
    lines.iter().map(&mut one).collect()
}

/// NISTIR 6556, 3.5.16: published. R, depth and the further numbers stay, L does not.
#[test]
fn numbers_stay_while_the_cycle_does() {
    let g99 = setting(true, false);
    let done = run_lines(
        &[
            (CycleKind::G82, "X1 Y0 Z-1 R1 P2 L2", g99),
            (CycleKind::G82, "X2", g99),
            (CycleKind::G82, "X3 Z-2 P0", g99),
            (CycleKind::G82, "X4", g99),
            (CycleKind::G81, "X5", g99),
            (CycleKind::G81, "X5 Z-1", g99),
            (CycleKind::G81, "X5 R0.5", g99),
        ],
        pt3(0.0, 0.0, 1.0),
    );
    let hole = "r 1 0 1, f 1 0 -1, p 2, r 1 0 1, f 1 0 -1, p 2, r 1 0 1";
    assert_eq!(done[0], Ok(hole.to_owned()), "both repeats at one place with G90");
    assert_eq!(done[1], Ok("r 2 0 1, f 2 0 -1, p 2, r 2 0 1".to_owned()));
    assert_eq!(done[2], Ok("r 3 0 1, f 3 0 -2, r 3 0 1".to_owned()));
    assert_eq!(done[3], Ok("r 4 0 1, f 4 0 -2, r 4 0 1".to_owned()));
    assert_eq!(done[4], Err(CycleFault::NoDepth), "another cycle starts anew");
    assert_eq!(done[5], Err(CycleFault::NoRetract));
    assert_eq!(done[6], Ok("r 5 0 1, r 5 0 0.5, f 5 0 -1, r 5 0 0.5".to_owned()));
}

#[test]
fn kept_increments_count_from_where_the_tool_stands() {
    let g98 = setting(false, true);
    let lines = [(CycleKind::G81, "X1 Z-1 R-1", g98), (CycleKind::G81, "Y1", g98)];
    let done = run_lines(&lines, pt3(0.0, 0.0, 2.0));
    assert_eq!(done[1], Ok("r 1 1 2, r 1 1 1, f 1 1 0, r 1 1 2".to_owned()));
}

#[test]
fn another_plane_keeps_no_number_of_the_axis_before() {
    let g17 = setting(true, true);
    let g18 = CycleSetting { plane: Plane::Zx, ..g17 };
    let lines = [(CycleKind::G81, "X1 Z-1 R1", g17), (CycleKind::G81, "X1", g18)];
    assert_eq!(run_lines(&lines, Point3::default())[1], Err(CycleFault::NoDepth));
}

/// NISTIR 6556, 3.5.16: published that the other planes work alike; the same steps with the axes exchanged.
#[test]
fn every_plane_does_the_same() {
    let from = (pt(0.3, -0.2), 2.0);
    for (kind, text) in [
        (CycleKind::G81, "X1 Y2 Z-1 R1 L2"),
        (CycleKind::G83, "X1 Y2 Z-1 R1 Q0.3"),
        (CycleKind::G73, "Y2 Z-1 R1 Q0.3"),
        (CycleKind::G84, "X1 Z-1 R3"),
    ] {
        for (absolute, to_clear) in [(true, true), (true, false), (false, true)] {
            let in_plane = |plane: Plane| {
                let setting = CycleSetting { plane, ..setting(absolute, to_clear) };
                let (result, out) = run(kind, text, &setting, plane.join(from.0, from.1));
                assert_eq!(result, Ok(()), "{plane:?} {text}");
                let swap = |p| {
                    let (pair, along) = plane.split(p);
                    G17.join(pair, along)
                };
                let steps = out.into_iter().map(|step| match step {
                    Step::Rapid(p) => Step::Rapid(swap(p)),
                    Step::Feed(p) => Step::Feed(swap(p)),
                    other => other,
                });
                steps.collect::<Vec<_>>()
            };
            assert_eq!(in_plane(Plane::Zx), in_plane(G17), "{text}");
            assert_eq!(in_plane(Plane::Yz), in_plane(G17), "{text}");
        }
    }
    // G18: Z and X in the plane, Y square to it
    let setting = CycleSetting { plane: Plane::Zx, ..setting(true, true) };
    let words = CycleWords {
        first: Some(7.0),
        second: Some(5.0),
        along: Some(-1.0),
        retract: Some(1.0),
        ..CycleWords::default()
    };
    let mut out = Vec::new();
    let result =
        steps(CycleKind::G81, &words, &mut CycleState::default(), &setting, Point3::default(), &mut out);
    assert_eq!(result, Ok(()));
    assert_eq!(shown(&out), "r 0 1 0, r 5 1 7, f 5 -1 7, r 5 1 7");
}

/// A plain sequence of numbers, the same at every run.
struct Garbage(u64);

impl Garbage {
    fn next(&mut self, below: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % below
    }

    fn number(&mut self) -> f64 {
        let odd = [0.0, -0.0, 1.0, -1.0, 0.1, 1e-300, 1e300, 1e9, -1e9, 5e4, f64::NAN, f64::INFINITY];
        let sign = if self.next(3) == 0 { -1.0 } else { 1.0 };
        odd[self.next(odd.len())] * sign
    }

    fn maybe(&mut self) -> Option<f64> {
        (self.next(4) > 0).then(|| self.number())
    }
}

#[test]
fn no_input_makes_it_panic_or_run_away() {
    const KINDS: [CycleKind; 10] = [
        CycleKind::G73,
        CycleKind::G81,
        CycleKind::G82,
        CycleKind::G83,
        CycleKind::G84,
        CycleKind::G85,
        CycleKind::G86,
        CycleKind::G87,
        CycleKind::G88,
        CycleKind::G89,
    ];
    let mut odd = Garbage(17);
    let (mut state, mut out) = (CycleState::default(), Vec::new());
    for _ in 0..20_000 {
        let kind = KINDS[odd.next(KINDS.len())];
        let words = CycleWords {
            first: odd.maybe(),
            second: odd.maybe(),
            along: odd.maybe(),
            retract: odd.maybe(),
            peck: if kind.pecks() { odd.maybe() } else { None },
            dwell: if kind.dwells() { odd.maybe() } else { None },
            repeats: if odd.next(3) == 0 { Some(odd.number()) } else { None },
        };
        let setting = CycleSetting {
            plane: [Plane::Xy, Plane::Zx, Plane::Yz][odd.next(3)],
            absolute: odd.next(2) == 0,
            to_clear: odd.next(2) == 0,
            turning: 1,
            chip_break: odd.number(),
        };
        let from = pt3(odd.number(), odd.number(), odd.number());
        out.clear();
        let result = steps(kind, &words, &mut state, &setting, from, &mut out);
        assert!(out.len() <= MOST_STEPS as usize);
        assert!(result.is_ok() || result == Err(CycleFault::HandRetract) || out.is_empty());
    }
}
