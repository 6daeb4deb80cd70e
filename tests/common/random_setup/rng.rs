//! A small generator of random numbers with a fixed sequence per seed
//! (`SplitMix64`; Steele, Lea, Flood 2014).

#[derive(Debug, Clone)]
pub(crate) struct Rng(u64);

impl Rng {
    pub(crate) fn new(seed: u64) -> Self {
        // Neighbouring seeds would else begin with neighbouring states.
        let mut rng = Self(seed.wrapping_mul(0xD134_2543_DE82_EF95));
        rng.next();
        rng
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// From 0 to `n` − 1; the bias of the remainder is of no matter here.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        let n = u64::try_from(n).expect("a length");
        usize::try_from(self.next() % n).expect("below a length")
    }

    pub(crate) fn chance(&mut self, percent: u64) -> bool {
        self.next() % 100 < percent
    }

    pub(crate) fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.below(from.len())]
    }

    /// One of the values, each as often as its weight says.
    pub(crate) fn weighted<T: Copy>(&mut self, from: &[(usize, T)]) -> T {
        let total = from.iter().map(|(weight, _)| weight).sum();
        let mut left = self.below(total);
        for &(weight, value) in from {
            if left < weight {
                return value;
            }
            left -= weight;
        }
        unreachable!("below the sum of the weights")
    }

    pub(crate) fn shuffle<T>(&mut self, items: &mut [T]) {
        for i in (1..items.len()).rev() {
            items.swap(i, self.below(i + 1));
        }
    }
}
