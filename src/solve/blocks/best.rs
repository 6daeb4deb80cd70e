//! What is worth keeping, by who sits: nothing that another one is no worse than.

use super::block::index;

/// No more of a kind.
const NONE: u32 = u32::MAX;

/// Room in the table for so many times the keys.
const ROOM: usize = 2;

#[derive(Debug)]
pub(super) struct Best<T> {
    /// By a number made from the key, the place in `heads`.
    table: Vec<u32>,
    shift: u32,
    /// The keys as they came, each with the first of its items.
    heads: Vec<(u128, u32)>,
    /// Each with the next one of its key.
    items: Vec<(T, u32)>,
}

impl<T> Best<T> {
    pub(super) fn new() -> Self {
        Self {
            table: vec![NONE; 1 << 10],
            shift: 128 - 10,
            heads: Vec::new(),
            items: Vec::new(),
        }
    }

    /// Keeps an item unless one of its key is no worse, and drops those that it is no worse
    /// than. How many it was compared with.
    pub(super) fn put(&mut self, key: u128, item: T, no_worse: impl Fn(&T, &T) -> bool) -> usize {
        let head = self.head(key);
        let mut compared = 0;
        let mut at = self.heads[head].1;
        while at != NONE {
            let (other, next) = &self.items[at as usize];
            compared += 1;
            if no_worse(other, &item) {
                return compared;
            }
            at = *next;
        }
        let mut before = NONE;
        at = self.heads[head].1;
        while at != NONE {
            let (other, next) = &self.items[at as usize];
            let next = *next;
            if no_worse(&item, other) {
                match before {
                    NONE => self.heads[head].1 = next,
                    before => self.items[before as usize].1 = next,
                }
            } else {
                before = at;
            }
            at = next;
        }
        let first = self.heads[head].1;
        self.heads[head].1 = index(self.items.len());
        self.items.push((item, first));
        compared + 1
    }

    /// Where the items of a key begin.
    fn head(&mut self, key: u128) -> usize {
        if ROOM * self.heads.len() >= self.table.len() {
            self.grow();
        }
        let place = self.place(key);
        if self.table[place] == NONE {
            self.table[place] = index(self.heads.len());
            self.heads.push((key, NONE));
        }
        self.table[place] as usize
    }

    /// Where a key is in the table, or is to come.
    fn place(&self, key: u128) -> usize {
        // An odd number of no meaning (the golden ratio's digits).
        const ODD: u128 = 0x9E37_79B9_7F4A_7C15_F39C_C060_5CED_C835;
        let mixed = key.wrapping_mul(ODD) >> self.shift;
        let mut place = usize::try_from(mixed).unwrap_or(0);
        while self.table[place] != NONE && self.heads[self.table[place] as usize].0 != key {
            place = (place + 1) % self.table.len();
        }
        place
    }

    fn grow(&mut self) {
        self.shift -= 1;
        self.table.clear();
        self.table.resize(1 << (128 - self.shift), NONE);
        for head in 0..self.heads.len() {
            let place = self.place(self.heads[head].0);
            self.table[place] = index(head);
        }
    }

    /// The items of one key.
    pub(super) fn of(&self, key: u128) -> impl Iterator<Item = &T> {
        let head = self.table[self.place(key)];
        let first = if head == NONE {
            NONE
        } else {
            self.heads[head as usize].1
        };
        self.chain(first)
    }

    /// All items, key by key as these came.
    pub(super) fn each(&self) -> impl Iterator<Item = &T> {
        self.heads.iter().flat_map(|&(_, first)| self.chain(first))
    }

    fn chain(&self, first: u32) -> impl Iterator<Item = &T> {
        let item = |at: u32| (at != NONE).then(|| &self.items[at as usize]);
        std::iter::successors(item(first), move |(_, next)| item(*next)).map(|(item, _)| item)
    }
}
