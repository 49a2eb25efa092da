//! Finer cells in a part of the plan against the whole block with cells as fine: the same metal must be left.

#![allow(clippy::expect_used, clippy::allow_attributes, reason = "tests say what they stand on")]

use blockwright_core::geometry::{Bounds, pt};
use blockwright_core::proof::Proof;
use blockwright_core::prover::{Options, ProveError, Prover};
use blockwright_core::task::{Cancel, Task};
use blockwright_tests::sample;

/// No centre of such a cell lies on a side of the blank, where rounding alone would decide.
const FINE: f64 = 0.0043;

fn proven(cell: f64) -> Proof {
    let options = Options { cell: Some(cell), ..Options::default() };
    let cancel = Cancel::new();
    Prover::new().prove(&sample("signal-lamp-bezel"), &options, Task::quiet(&cancel)).expect("provable")
}

#[test]
fn a_window_is_cut_like_the_whole_block() {
    let (rough, fine) = (proven(0.02), proven(FINE));
    let bounds = fine.edge.as_ref().expect("a blank").bounds();
    // Cells of one size lie on each other wherever the window lies.
    let low = bounds.low + pt(50.0 * FINE, 20.0 * FINE);
    let window = Bounds { low, high: low + pt(120.0 * FINE, 90.0 * FINE) };
    let (cancel, last) = (Cancel::new(), rough.passes.len() - 1);
    let finer = rough.finer(&window, FINE, last, Task::quiet(&cancel)).expect("it fits");
    for (pass, part) in [(0, 0.4), (2, 1.0), (last, 0.7), (last, 1.0)] {
        let distance = rough.passes[pass].track.length() * part;
        let cut = finer.block_at(&rough, pass, distance).expect("a pass");
        let whole = fine.block_at(pass, distance).expect("a pass");
        let grid = *cut.grid();
        let cells = (0..grid.rows).flat_map(|row| (0..grid.columns).map(move |column| (column, row)));
        let inside: Vec<_> =
            cells.filter(|(column, row)| window.meets(&Bounds::of([grid.centre(*column, *row)]))).collect();
        assert!((10_500..=11_000).contains(&inside.len()), "{}", inside.len());
        for (column, row) in inside {
            let (x, y) = whole.grid().cell_at(grid.centre(column, row)).expect("within the block");
            let (here, there): (Vec<_>, Vec<_>) =
                (cut.column(column, row).collect(), whole.column(x, y).collect());
            assert_eq!(here.len(), there.len(), "pass {pass}, cell {column} {row}");
            for (a, b) in here.iter().zip(&there) {
                assert!((a.0 - b.0).abs() < 1e-4 && (a.1 - b.1).abs() < 1e-4, "pass {pass}: {a:?} {b:?}");
            }
        }
    }
}

#[test]
fn what_cannot_be_made_is_said_and_what_is_left_is_given_up() {
    let proof = proven(0.02);
    let bounds = proof.edge.as_ref().expect("a blank").bounds();
    let cancel = Cancel::new();
    assert_eq!(proof.window_on_blank(&Bounds { low: pt(50.0, 50.0), high: pt(51.0, 51.0) }), None);
    let window = proof.window_on_blank(&bounds.grown(3.0)).expect("all of the blank");
    assert_eq!(window, bounds);
    assert!(proof.finer_cost(&window, 1e-5, 0).cells > blockwright_core::block::MOST_CELLS);
    let refused = proof.finer(&window, 1e-5, 0, Task::quiet(&cancel));
    assert!(matches!(refused, Err(ProveError::Unusable(what)) if what.contains("million cells")));
    let part = Bounds { low: bounds.low, high: bounds.low + pt(0.5, 0.5) };
    let finer = proof.finer(&part, 0.01, 1, Task::quiet(&cancel)).expect("it fits");
    assert!(finer.covers(&proof, &Bounds { low: part.low - pt(1.0, 1.0), high: part.high }));
    assert!(!finer.covers(&proof, &bounds));
    assert!(finer.block_at(&proof, 2, 1.0).is_none(), "made for the first two passes alone");
    cancel.raise();
    assert!(matches!(proof.finer(&part, 0.01, 1, Task::quiet(&cancel)), Err(ProveError::Cancelled)));
}
