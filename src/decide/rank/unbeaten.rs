//! Which kits nothing beats.

/// What kits are compared in, each number the less the better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Merits {
    /// Devices without a berth, of priority 1, 2 and 3: one merit, compared in this order.
    pub(super) unserved: [usize; 3],
    pub(super) late: usize,
    /// Whole 1e-6 h.
    pub(super) longest: i64,
    /// Whole 1e-6 g; the largest number where unknown.
    pub(super) weight: i64,
    /// Whole 1e-6; the largest number where unknown.
    pub(super) price: i64,
}

impl Merits {
    /// Whether it is at least as good as `other` in everything, and better in something.
    fn beats(&self, other: &Self) -> bool {
        self.unserved <= other.unserved
            && self.late <= other.late
            && self.longest <= other.longest
            && self.weight <= other.weight
            && self.price <= other.price
            && self != other
    }
}

/// By kit, whether no other beats it. `sorted` ascends.
///
/// Whoever beats a kit stands before it, and is beaten by nobody or by one that beats the
/// kit, too: comparing with the unbeaten ones before it is enough.
pub(super) fn unbeaten(sorted: &[Merits]) -> Vec<bool> {
    let mut front: Vec<Merits> = Vec::new();
    sorted
        .iter()
        .map(|merits| {
            let stands = !front.iter().any(|before| before.beats(merits));
            if stands && front.last() != Some(merits) {
                front.push(*merits);
            }
            stands
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_unbeaten_are_those_that_no_other_beats() {
        // Every kit with merits from 0 to 2, some twice.
        let mut all = Vec::new();
        for code in 0..3_usize.pow(5) * 2 {
            let digit = |at: u32| code / 3_usize.pow(at) % 3;
            let number = |at: u32| i64::try_from(digit(at)).expect("a digit");
            if code * 7 % 11 < 4 {
                all.push(Merits {
                    unserved: [digit(0), 0, 0],
                    late: digit(1),
                    longest: number(2),
                    weight: if digit(3) == 2 { i64::MAX } else { number(3) },
                    price: number(4),
                });
            }
        }
        for from in 0..all.len() - 20 {
            let mut some = all[from..from + 20].to_vec();
            some.sort();
            let expected: Vec<bool> = some
                .iter()
                .map(|one| !some.iter().any(|other| other.beats(one)))
                .collect();
            assert_eq!(unbeaten(&some), expected);
        }
    }

    #[test]
    fn priorities_are_one_merit() {
        let merits = |unserved| Merits {
            unserved,
            late: 0,
            longest: 1,
            weight: 1,
            price: 1,
        };
        let more = merits([0, 1, 1]);
        assert!(more.beats(&merits([1, 0, 0])));
        assert!(!more.beats(&more));
        let heavier = Merits { weight: 2, ..more };
        assert!(!heavier.beats(&more) && more.beats(&heavier));
    }
}
