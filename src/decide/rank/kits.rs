//! The kits of a ranking: candidates singly, in pairs, in threes.

use crate::diagnostics::{Error, Result};

/// The most kits of one ranking.
pub(super) const MOST: usize = 1_000_000;

/// Every choice of 1 to `up_to` of `candidates` candidates, none twice in one kit:
/// singles first, then pairs, each in listed order.
pub(super) fn kits(candidates: usize, up_to: usize) -> Result<Vec<Vec<usize>>> {
    let up_to = up_to.min(candidates);
    let count = (1..=up_to).try_fold(0_usize, |sum, size| {
        sum.checked_add(of_size(candidates, size)?)
    });
    let count = count.filter(|count| *count <= MOST).ok_or_else(|| {
        let message = format!(
            "{candidates} candidates in kits of up to {up_to} are more than {MOST} kits: fewer \
             candidates, or smaller kits, are needed"
        );
        Error::Options { message }
    })?;
    let mut kits = Vec::with_capacity(count);
    for size in 1..=up_to {
        let mut kit: Vec<usize> = (0..size).collect();
        loop {
            kits.push(kit.clone());
            // The last member that can still move on; those after it follow at once.
            let Some(at) = (0..size).rfind(|&at| kit[at] < candidates - size + at) else {
                break;
            };
            let from = kit[at] + 1;
            for (offset, member) in kit[at..].iter_mut().enumerate() {
                *member = from + offset;
            }
        }
    }
    Ok(kits)
}

/// The number of ways to choose `size` of `candidates`.
fn of_size(candidates: usize, size: usize) -> Option<usize> {
    (0..size).try_fold(1_usize, |ways, chosen| {
        Some(ways.checked_mul(candidates - chosen)? / (chosen + 1))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kits_are_all_there_once_and_in_order() {
        assert_eq!(
            kits(4, 2).expect("few"),
            [
                &[0][..],
                &[1],
                &[2],
                &[3],
                &[0, 1],
                &[0, 2],
                &[0, 3],
                &[1, 2],
                &[1, 3],
                &[2, 3]
            ]
        );
        for (candidates, up_to, expected) in [
            (1, 1, 1),
            (1, 9, 1),
            (3, 3, 7),
            (6, 4, 56),
            (40, 2, 820),
            (5, 5, 31),
        ] {
            let kits = kits(candidates, up_to).expect("few");
            assert_eq!(kits.len(), expected);
            assert!(
                kits.windows(2)
                    .all(|w| (w[0].len(), &w[0]) < (w[1].len(), &w[1]))
            );
            assert!(kits.iter().all(|kit| kit.windows(2).all(|w| w[0] < w[1])));
        }
    }

    #[test]
    fn too_many_kits_are_refused_before_they_are_made() {
        assert!(kits(1_000_000, 1).is_ok());
        for (candidates, up_to) in [(1_000_001, 1), (2_000, 2), (200, 64), (usize::MAX / 2, 3)] {
            assert!(kits(candidates, up_to).is_err(), "{candidates} {up_to}");
        }
    }
}
