//! Loops in wider registers where the machine has them (AVX2).

use pulp::Arch;
pub(super) use pulp::NullaryFnOnce as Loop;

/// Runs a loop that is compiled once more for machines with wider registers. The outcome is the same on all of them,
/// bit for bit: the same operations are done, only more of them side by side.
///
/// The loop's `call` must be `#[inline(always)]`, and so should what it calls: only what ends up in it is compiled anew.
#[inline]
pub(super) fn widest<T>(work: impl Loop<Output = T>) -> T {
    Arch::new().dispatch(work)
}
