//! In which orders things can be plugged in: all of them where they are few, else a
//! selection that is always the same.

use super::SharingRule;

/// Up to so many devices on one charger every order is tried: 720 of them.
pub(super) const MOST_IN_ALL_ORDERS: usize = 6;

/// The ways in which what a rule leaves open can turn out for the devices on one charger.
#[derive(Debug)]
pub(super) struct Orders {
    /// Of berths, by their place on the charger.
    pub(super) tried: Vec<Vec<usize>>,
    /// Whether there are no others.
    pub(super) are_all: bool,
}

impl Orders {
    /// `asks` are what the berths ask for, `times` when they are full by the plan.
    pub(super) fn of(rule: SharingRule, asks: &[i64], times: &[i64]) -> Self {
        let count = asks.len();
        let listed: Vec<usize> = (0..count).collect();
        let all = |tried| Self {
            tried,
            are_all: true,
        };
        match rule {
            _ if count < 2 => all(vec![listed]),
            SharingRule::Assured | SharingRule::FairShare | SharingRule::ByBattery => {
                all(vec![listed])
            }
            SharingRule::ByDemand => all(both_ways(asks)),
            SharingRule::OnePortFirst => all((0..count).map(|at| with_first(at, count)).collect()),
            SharingRule::FirstCome | SharingRule::LastCome if count <= MOST_IN_ALL_ORDERS => {
                all(permutations(listed))
            }
            SharingRule::FirstCome | SharingRule::LastCome => Self {
                tried: selection(asks, times),
                are_all: false,
            },
        }
    }
}

/// The greatest first and the least first; equal ones as listed.
fn both_ways(by: &[i64]) -> Vec<Vec<usize>> {
    let mut least_first: Vec<usize> = (0..by.len()).collect();
    least_first.sort_by_key(|&at| by[at]);
    let mut greatest_first: Vec<usize> = (0..by.len()).collect();
    greatest_first.sort_by_key(|&at| -by[at]);
    vec![greatest_first, least_first]
}

/// One before all others, which stay as listed.
fn with_first(first: usize, count: usize) -> Vec<usize> {
    let others = (0..count).filter(|&at| at != first);
    std::iter::once(first).chain(others).collect()
}

fn with_last(last: usize, count: usize) -> Vec<usize> {
    let others = (0..count).filter(|&at| at != last);
    others.chain([last]).collect()
}

/// Each first, each last, by what they ask for and by their times, both ways round.
fn selection(asks: &[i64], times: &[i64]) -> Vec<Vec<usize>> {
    let count = asks.len();
    let firsts = (0..count).map(|at| with_first(at, count));
    let lasts = (0..count).map(|at| with_last(at, count));
    let sorted = both_ways(asks).into_iter().chain(both_ways(times));
    let mut tried: Vec<Vec<usize>> = Vec::new();
    for order in firsts.chain(lasts).chain(sorted) {
        if !tried.contains(&order) {
            tried.push(order);
        }
    }
    tried
}

/// Every order, the listed one first, each followed by the next in the order of the
/// alphabet.
fn permutations(listed: Vec<usize>) -> Vec<Vec<usize>> {
    let mut tried = vec![listed.clone()];
    let mut order = listed;
    while advance(&mut order) {
        tried.push(order.clone());
    }
    tried
}

/// To the next order; false where it is the last.
fn advance(order: &mut [usize]) -> bool {
    let falls_from = order.windows(2).rposition(|pair| pair[0] < pair[1]);
    let Some(at) = falls_from else {
        return false;
    };
    let next = order.iter().rposition(|&other| other > order[at]);
    if let Some(next) = next {
        order.swap(at, next);
    }
    order[at + 1..].reverse();
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn few_devices_come_in_every_order_once() {
        for (count, orders) in [(1, 1), (2, 2), (3, 6), (4, 24), (6, 720)] {
            let even = vec![1; count];
            let found = Orders::of(SharingRule::FirstCome, &even, &even);
            assert!(found.are_all);
            assert_eq!(found.tried.len(), orders);
            let mut sorted = found.tried.clone();
            sorted.sort();
            sorted.dedup();
            assert_eq!(
                sorted, found.tried,
                "in the order of the alphabet, each once"
            );
        }
    }

    #[test]
    fn of_many_devices_a_selection_is_tried() {
        let asks = [5, 1, 9, 1, 3, 4, 8];
        let times = [1, 2, 3, 4, 5, 6, 7];
        let found = Orders::of(SharingRule::LastCome, &asks, &times);
        assert!(!found.are_all);
        // Seven first and seven last, of which the listed order is in both; by what they
        // ask for, two; by their times one that is new.
        assert_eq!(found.tried.len(), 16);
        assert!(found.tried.contains(&vec![2, 6, 0, 5, 4, 1, 3]));
        assert!(found.tried.contains(&vec![6, 5, 4, 3, 2, 1, 0]));
        assert!(found.tried.contains(&vec![0, 1, 2, 4, 5, 6, 3]));
    }

    #[test]
    fn what_a_rule_leaves_open_is_varied_and_nothing_else() {
        let asks = [5, 1, 9];
        let tried = |rule| Orders::of(rule, &asks, &asks).tried;
        assert_eq!(tried(SharingRule::FairShare), [[0, 1, 2]]);
        assert_eq!(
            tried(SharingRule::OnePortFirst),
            [[0, 1, 2], [1, 0, 2], [2, 0, 1]]
        );
        assert_eq!(tried(SharingRule::ByDemand), [[2, 0, 1], [1, 0, 2]]);
    }
}
