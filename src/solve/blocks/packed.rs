//! Small numbers side by side in one word, compared all at once.

/// A slot for each number, just wide enough; the highest bit of each is kept free, for comparing.
#[derive(Debug, Clone)]
pub(super) struct Packing {
    /// Where each slot begins, and its bits.
    slots: Vec<(u32, u32)>,
    /// The highest bit of every slot.
    guards: u128,
}

impl Packing {
    /// Room for numbers up to the `most` given, one after the other; `None` where there is not
    /// enough.
    pub(super) fn of(most: &[i64]) -> Option<Self> {
        let mut slots = Vec::with_capacity(most.len());
        let mut guards = 0;
        let mut from = 0;
        for &most in most {
            let bits = i64::BITS - most.leading_zeros() + 1;
            if from + bits > u128::BITS {
                return None;
            }
            slots.push((from, bits));
            guards |= 1 << (from + bits - 1);
            from += bits;
        }
        Some(Self { slots, guards })
    }

    /// `amount` in a slot, 0 in all others; `None` where it is more than ever fits.
    pub(super) fn at(&self, slot: usize, amount: i64) -> Option<u128> {
        let (from, bits) = self.slots[slot];
        let amount = u128::try_from(amount).ok()?;
        (amount >> (bits - 1) == 0).then_some(amount << from)
    }

    /// The number in a slot.
    pub(super) fn get(&self, word: u128, slot: usize) -> i64 {
        let (from, bits) = self.slots[slot];
        i64::try_from((word >> from) & ((1 << bits) - 1)).unwrap_or(i64::MAX)
    }

    /// Whether no number is above the one beside it. The sum of two words that are within bounds
    /// is compared right, too: no slot of it reaches the next.
    pub(super) fn within(&self, word: u128, most: u128) -> bool {
        word & self.guards == 0 && ((most | self.guards) - word) & self.guards == self.guards
    }
}

#[cfg(test)]
mod tests {
    use super::Packing;

    #[test]
    fn every_pair_of_words_is_compared_slot_by_slot() {
        let most = [3, 1, 4, 0];
        let packing = Packing::of(&most).expect("14 bits");
        let words = || {
            let numbers =
                (0..=3).flat_map(|a| (0..=1).flat_map(move |b| (0..=4).map(move |c| [a, b, c, 0])));
            numbers.map(|numbers: [i64; 4]| {
                let slots = numbers.iter().enumerate();
                let word: Option<u128> = slots.map(|(slot, &n)| packing.at(slot, n)).sum();
                (numbers, word.expect("each fits"))
            })
        };
        for (one, word) in words() {
            for (slot, &number) in one.iter().enumerate() {
                assert_eq!(packing.get(word, slot), number);
            }
            for (two, other) in words() {
                let sum: Vec<i64> = one.iter().zip(&two).map(|(a, b)| a + b).collect();
                let fits = sum.iter().zip(&most).all(|(sum, most)| sum <= most);
                let cap = (0..4)
                    .map(|slot| packing.at(slot, most[slot]))
                    .sum::<Option<u128>>();
                assert_eq!(
                    packing.within(word + other, cap.expect("each fits")),
                    fits,
                    "{one:?} {two:?}"
                );
            }
        }
        assert_eq!(packing.at(1, 2), None);
        assert!(Packing::of(&[1 << 30; 4]).is_some() && Packing::of(&[1 << 31; 4]).is_none());
    }
}
