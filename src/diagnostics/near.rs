//! The near name: what somebody probably meant.

use std::cmp::Reverse;

/// Names longer than this are not compared: nobody misspells them into another.
const LONGEST: usize = 200;

/// The candidate nearest to `name`, by edit distance with neighbouring letters swapped
/// counted once, upper and lower case alike. At most a third of the letters may differ
/// (at least one may); among equals the one that begins like it the longest, then the
/// first in the order of names.
pub(crate) fn near<'a>(
    name: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<String> {
    let length = name.chars().count();
    if length == 0 || length > LONGEST {
        return None;
    }
    let wanted = name.to_lowercase();
    let mut best: Option<(usize, Reverse<usize>, &str)> = None;
    for candidate in candidates {
        let other = candidate.chars().count();
        if candidate == name || other == 0 || other > LONGEST {
            continue;
        }
        let longest = length.max(other);
        let allowed = (longest / 3).max(1);
        if length.abs_diff(other) > allowed || longest < 2 {
            continue;
        }
        let given = candidate.to_lowercase();
        let distance = strsim::osa_distance(&wanted, &given);
        let alike = wanted
            .chars()
            .zip(given.chars())
            .take_while(|(a, b)| a == b)
            .count();
        let found = (distance, Reverse(alike), candidate);
        if distance <= allowed && best.is_none_or(|so_far| found < so_far) {
            best = Some(found);
        }
    }
    best.map(|(_, _, candidate)| candidate.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_is_found_whatever_the_order() {
        for (name, candidates, expected) in [
            ("C9", &["C2", "C1", "A1"][..], Some("C1")),
            ("c1", &["C1", "C2"], Some("C1")),
            (
                "battery_w",
                &["battery_v", "battery_wh", "battery_mah"],
                Some("battery_wh"),
            ),
            ("accept", &["accepts", "reach_m"], Some("accepts")),
            ("prots", &["ports", "pools"], Some("ports")),
            ("usbc", &["usb-c", "usb-a"], Some("usb-c")),
            ("x", &["y"], None),
            ("", &["a1"], None),
            ("viola", &["laptop", "phone"], None),
        ] {
            assert_eq!(
                near(name, candidates.iter().copied()).as_deref(),
                expected,
                "{name}"
            );
        }
    }
}
