//! The parameters of a program: numbered values that it sets and reads.

/// One more than the highest parameter that can be used (NISTIR 6556 section 3.3).
const SLOTS: usize = 5400;

/// How far a parameter's number may lie from a whole one (NISTIR 6556 section 3.3).
const INDEX_TOLERANCE: f64 = 0.0001;

/// The values of parameters 1 to 5399; each is 0 until it is set.
#[derive(Debug, Clone, Default)]
pub(in crate::program) struct Parameters {
    /// Empty until the first is set, since most programs set none.
    values: Box<[Option<f64>]>,
}

impl Parameters {
    /// The value of a parameter; none when there is no such parameter.
    pub(in crate::program) fn get(&self, index: u16) -> Option<f64> {
        exists(index).then(|| self.slot(index).unwrap_or(0.0))
    }

    /// Sets a parameter. False when there is no such parameter.
    pub(in crate::program) fn set(&mut self, index: u16, value: f64) -> bool {
        if !exists(index) {
            return false;
        }
        if self.values.is_empty() {
            self.values = vec![None; SLOTS].into_boxed_slice();
        }
        if let Some(slot) = self.values.get_mut(usize::from(index)) {
            *slot = Some(value);
        }
        true
    }

    /// Whether a parameter was ever set.
    pub(in crate::program) fn is_set(&self, index: u16) -> bool {
        self.slot(index).is_some()
    }

    fn slot(&self, index: u16) -> Option<f64> {
        self.values.get(usize::from(index)).copied().flatten()
    }
}

fn exists(index: u16) -> bool {
    (1..SLOTS).contains(&usize::from(index))
}

/// The parameter that a number means; none when it is not near a whole number or there is no such parameter.
pub(super) fn index(number: f64) -> Option<u16> {
    let whole = number.round();
    let near = (number - whole).abs() <= INDEX_TOLERANCE && (1.0..SLOTS as f64).contains(&whole);
    near.then_some(whole as u16)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parameter_keeps_what_it_is_set_to() {
        let mut parameters = Parameters::default();
        assert_eq!((parameters.get(1), parameters.is_set(1)), (Some(0.0), false));
        assert!(parameters.set(1, 0.375) && parameters.set(5399, -1.0));
        assert_eq!((parameters.get(1), parameters.is_set(1)), (Some(0.375), true));
        assert_eq!((parameters.get(5399), parameters.get(2)), (Some(-1.0), Some(0.0)));
        assert!(parameters.set(1, 0.0) && parameters.is_set(1));
    }

    #[test]
    fn the_usable_parameters_are_1_to_5399() {
        // NISTIR 6556 section 3.3, published.
        let mut parameters = Parameters::default();
        for none in [0, 5400, u16::MAX] {
            assert_eq!((parameters.get(none), parameters.set(none, 1.0)), (None, false));
            assert!(!parameters.is_set(none));
        }
    }

    #[test]
    fn a_parameters_number_is_whole_within_the_tolerance() {
        // NISTIR 6556 section 3.3, published: 0.0001.
        for (number, found) in [
            (1.0, Some(1)),
            (2.000_09, Some(2)),
            (2.999_91, Some(3)),
            (2.000_2, None),
            (2.5, None),
            (0.0, None),
            (-1.0, None),
            (5399.0, Some(5399)),
            (5400.0, None),
            (1e300, None),
            (f64::NAN, None),
            (f64::INFINITY, None),
        ] {
            assert_eq!(index(number), found, "{number}");
        }
    }
}
