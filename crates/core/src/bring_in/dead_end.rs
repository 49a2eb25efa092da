//! Ways that lead nowhere: dropped from the choice where lines branch, they cannot keep a path from closing.

/// Which ends belong to pieces that no closed way can go along, where `ends` counts all ends, `far` gives the end at
/// which one comes out when going in at an end, and `pairs` the ends that could be joined.
pub(super) fn dead_ends(
    free: &[usize],
    ends: usize,
    far: impl Fn(usize) -> usize,
    pairs: &[(usize, usize)],
) -> Vec<bool> {
    let mut partners = vec![Vec::new(); ends];
    for &(a, b) in pairs {
        partners[a].push(b);
        partners[b].push(a);
    }
    let mut ways_on: Vec<usize> = partners.iter().map(Vec::len).collect();
    let mut dead = vec![false; ends];
    let mut nowhere: Vec<usize> = free.iter().copied().filter(|end| ways_on[*end] == 0).collect();
    while let Some(end) = nowhere.pop() {
        if dead[end] {
            continue;
        }
        for end in [end, far(end)] {
            dead[end] = true;
            for &partner in &partners[end] {
                ways_on[partner] -= 1;
                if ways_on[partner] == 0 {
                    nowhere.push(partner);
                }
            }
        }
    }
    dead
}

#[cfg(test)]
mod tests {
    use super::dead_ends;

    /// Pieces 0, 1, 2 in a ring, 3 hangs on it, 4 on that, 5 by itself.
    #[test]
    fn what_hangs_on_a_ring_is_dead_and_the_ring_is_not() {
        let pairs = [(1, 2), (3, 4), (5, 0), (5, 6), (0, 6), (7, 8)];
        let free: Vec<usize> = (0..12).collect();
        let dead = dead_ends(&free, 12, |end| end ^ 1, &pairs);
        assert_eq!(
            dead.iter().map(|dead| u8::from(*dead)).collect::<Vec<_>>(),
            [0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1]
        );
    }
}
