//! Which kits nothing beats.

/// What kits are compared in, each number the less the better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Merits {
    /// Devices without a berth, of priority 1, 2 and 3: one merit, compared in this order.
    pub(super) unserved: [u32; 3],
    pub(super) late: u32,
    /// Whole 1e-6 h.
    pub(super) longest: i64,
    /// Whole 1e-6 g; the largest number where unknown.
    pub(super) weight: i64,
    /// Whole 1e-6; the largest number where unknown.
    pub(super) price: i64,
}

impl Merits {
    /// Whether it is at least as good as `other` in everything, and better in something.
    pub(super) fn beats(&self, other: &Self) -> bool {
        self.unserved <= other.unserved
            && self.late <= other.late
            && self.longest <= other.longest
            && self.weight <= other.weight
            && self.price <= other.price
            && self != other
    }
}

/// Those of the kits so far that no other of them beats.
#[derive(Debug, Default)]
pub(super) struct Front(Vec<Merits>);

impl Front {
    pub(super) fn add(&mut self, merits: Merits) {
        if self.0.contains(&merits) || self.beats(&merits) {
            return;
        }
        self.0.retain(|before| !merits.beats(before));
        self.0.push(merits);
    }

    /// Whether one of them beats a kit of these merits; of merits that a kit does not better,
    /// whether one beats the kit itself.
    pub(super) fn beats(&self, merits: &Merits) -> bool {
        self.0.iter().any(|before| before.beats(merits))
    }

    /// The least longest time with which a kit of otherwise these merits is beaten.
    pub(super) fn beats_from(&self, merits: &Merits) -> Option<i64> {
        let least = self.0.iter().filter_map(|before| {
            let other = Merits {
                longest: before.longest,
                ..*merits
            };
            // What is equal in all else must be longer.
            let equal = other == *before;
            (equal || before.beats(&other)).then(|| before.longest + i64::from(equal))
        });
        least.min()
    }

    pub(super) fn holds(&self, merits: &Merits) -> bool {
        self.0.contains(merits)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_unbeaten_are_those_that_no_other_beats() {
        // Every kit with merits from 0 to 2, some twice.
        let mut all = Vec::new();
        for code in 0..3_u32.pow(5) * 2 {
            let digit = |at: u32| code / 3_u32.pow(at) % 3;
            let number = |at: u32| i64::from(digit(at));
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
            // In whatever order they come.
            some.rotate_left(from % 20);
            let mut front = Front::default();
            for merits in &some {
                front.add(*merits);
            }
            for merits in &some {
                let beaten = some.iter().any(|other| other.beats(merits));
                assert_eq!(
                    (front.beats(merits), front.holds(merits)),
                    (beaten, !beaten)
                );
                let from = (0..4).find(|&longest| {
                    let at = Merits { longest, ..*merits };
                    front.beats(&at)
                });
                assert_eq!(front.beats_from(merits), from);
            }
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
