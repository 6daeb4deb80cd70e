//! Which choices may stand together (section 5).

use super::options::Choice;
use super::rounding::micro;
use super::setup::{Charger, Line, Setup};

/// What a choice takes from the pools of its charger, in whole microwatts.
pub(crate) fn taken(charger: &Charger, choice: &Choice) -> i64 {
    micro(if charger.reserves_tier {
        choice.tier_w
    } else {
        choice.contract.port_w()
    })
}

/// Each port at most once, each cable at most as often as there are.
pub(crate) fn no_place_twice(setup: &Setup, chosen: &[Choice]) -> bool {
    let ports_once = chosen.iter().enumerate().all(|(i, a)| {
        chosen[..i]
            .iter()
            .all(|b| (a.charger, a.port) != (b.charger, b.port))
    });
    let enough_cables = setup.cables.iter().enumerate().all(|(k, cable)| {
        chosen.iter().filter(|choice| choice.cable == k).count() as u64 <= cable.count
    });
    ports_once && enough_cables
}

/// What the ports of every pool take is at most its limit.
pub(crate) fn pools_hold(setup: &Setup, chosen: &[Choice]) -> bool {
    setup.chargers.iter().enumerate().all(|(c, charger)| {
        charger.pools.iter().all(|pool| {
            let of_pool = chosen
                .iter()
                .filter(|x| x.charger == c && pool.ports.contains(&x.port));
            of_pool.map(|x| taken(charger, x)).sum::<i64>() <= micro(pool.max_w)
        })
    })
}

/// On every charger with a table, one of the lines that govern the ports in use is
/// respected.
pub(crate) fn lines_hold(setup: &Setup, chosen: &[Choice]) -> bool {
    setup.chargers.iter().enumerate().all(|(c, charger)| {
        let here: Vec<&Choice> = chosen.iter().filter(|x| x.charger == c).collect();
        let in_use: Vec<usize> = here.iter().map(|x| x.port).collect();
        let Some(lines) = &charger.lines else {
            return true;
        };
        in_use.is_empty()
            || governing(lines, &in_use).iter().any(|line| {
                here.iter()
                    .all(|x| line.watts[x.port].is_some_and(|w| micro(x.tier_w) <= micro(w)))
            })
    })
}

/// The lines that govern a set of ports: those that hold them all, and of which no
/// strict part is a line that holds them all too.
pub(crate) fn governing<'a>(lines: &'a [Line], in_use: &[usize]) -> Vec<&'a Line> {
    let holding: Vec<&Line> = lines
        .iter()
        .filter(|line| in_use.iter().all(|&p| line.watts[p].is_some()))
        .collect();
    holding
        .iter()
        .filter(|line| !holding.iter().any(|other| strict_part(other, line)))
        .copied()
        .collect()
}

/// Whether the ports of `a` are a strict subset of those of `b`.
fn strict_part(a: &Line, b: &Line) -> bool {
    let mut pairs = a.watts.iter().zip(&b.watts);
    let within = pairs.clone().all(|(a, b)| a.is_none() || b.is_some());
    within && pairs.any(|(a, b)| a.is_none() && b.is_some())
}

/// Whether more berths could still make the lines hold: whichever line governs in
/// the end holds every port in use by then, and grants each its tier.
pub(crate) fn lines_may_hold(setup: &Setup, chosen: &[Choice]) -> bool {
    setup.chargers.iter().enumerate().all(|(c, charger)| {
        charger.lines.as_ref().is_none_or(|lines| {
            lines.iter().any(|line| {
                chosen
                    .iter()
                    .filter(|x| x.charger == c)
                    .all(|x| line.watts[x.port].is_some_and(|w| micro(x.tier_w) <= micro(w)))
            })
        })
    })
}
