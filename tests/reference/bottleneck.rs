//! Published bottleneck assignments, posed as whole setups.
//!
//! Row i, column j of a matrix is the time that device i takes on port j. Port j
//! offers a narrow programmable range of its own, and device i accepts that range at
//! just the current that fills its battery in that time. So the least longest time
//! of the plan is the bottleneck of the matrix. The times are those at best, and without a
//! tolerance: whole hours are all that the matrices have.

use serde_json::{Value, json};

use crate::common::{near, plan_of};

/// Watt-hours of a battery, where they are all equal: 4 A at the lowest range fill
/// it in an hour.
const BATTERY_WH: f64 = 20.0;

/// The range of port `j`: its ends in hundredths of a volt. A hundred of them lie
/// between 5 and 20 V without touching each other, and none holds an end of the
/// standard's ranges (5.9, 11, 16 V).
fn range(j: usize) -> (usize, usize) {
    let low = 501 + 15 * j;
    (low, low + 1)
}

/// The range of port `j` as printed.
fn printed(j: usize) -> String {
    let (low, high) = range(j);
    format!(
        "PPS {}.{:02}-{}.{:02}V",
        low / 100,
        low % 100,
        high / 100,
        high % 100
    )
}

/// A setup whose device i takes `hours[i][j]` on port j.
fn posed(hours: &[Vec<u32>], battery_wh: &[f64]) -> Value {
    let ports = hours[0].len();
    let port = |j: usize| json!({"name": format!("{j}"), "offers": format!("{} 5A", printed(j))});
    let device = |i: usize| {
        let accepts: Vec<String> = (0..ports)
            .map(|j| {
                let volts = f64::from(u32::try_from(range(j).1).expect("small")) / 100.0;
                let amps = battery_wh[i] / f64::from(hours[i][j]) / volts;
                format!("{} {amps}A", printed(j))
            })
            .collect();
        json!({
            "name": format!("{i}"), "accepts": accepts, "max_w": 100,
            "battery_wh": battery_wh[i], "draw_w": [[0, 100], [100, 100]], "efficiency": 1
        })
    };
    json!({
        "version": 1, "aim": "best", "tolerance_h": 0,
        // One tier above every port's cap: nothing is held below it.
        "chargers": [{
            "name": "charger", "tiers_w": [240], "ports": (0..ports).map(port).collect::<Vec<_>>()
        }],
        "cables": [{"name": "cable", "e_marked": true, "max_a": 5, "ohm": 0, "count": ports}],
        "devices": (0..hours.len()).map(device).collect::<Vec<_>>()
    })
}

/// Poses the matrix; the times of the plan must be `expected`, longest first, and
/// each the matrix's own for that device and port.
#[track_caller]
fn check(hours: &[Vec<u32>], battery_wh: &[f64], expected: &[u32], missing_wh: f64) {
    let plan = plan_of(&posed(hours, battery_wh));
    assert_eq!(plan.berths.len(), expected.len(), "berths");
    assert_eq!(
        plan.unserved,
        hours.len() - expected.len(),
        "devices without a berth"
    );
    near("watt-hours missing", plan.missing_wh, missing_wh, 1e-6);
    near(
        "the bottleneck",
        plan.longest_h,
        f64::from(expected[0]),
        1e-6,
    );
    let mut times: Vec<u32> = Vec::new();
    for berth in &plan.berths {
        let device: usize = berth.device.parse().expect("a number for a name");
        let port: usize = berth.port.parse().expect("a number for a name");
        near("hours", berth.hours, f64::from(hours[device][port]), 1e-6);
        times.push(hours[device][port]);
    }
    times.sort_unstable_by(|a, b| b.cmp(a));
    assert_eq!(times, expected, "all times, longest first");
}

/// A matrix; its `bottleneck` and, among the assignments that keep it, the `least`
/// sum; and all times in the plan's order. Where no other assignment has that order,
/// their sum need not be the least one: in every small matrix here it is.
/// A matrix with entries of 0 is posed with 1 added everywhere, and its transpose,
/// with devices for ports, must give the same.
#[track_caller]
fn case<const N: usize>(matrix: &[[u32; N]], bottleneck: u32, least_sum: u32, times: &[u32]) {
    assert_eq!(times[0], bottleneck, "the longest time is the bottleneck");
    assert_eq!(times.iter().sum::<u32>(), least_sum, "the sum applies");
    let shift = u32::from(matrix.as_flattened().contains(&0));
    let rows: Vec<Vec<u32>> = matrix
        .iter()
        .map(|row| row.iter().map(|hours| hours + shift).collect())
        .collect();
    let columns: Vec<Vec<u32>> = (0..N)
        .map(|j| rows.iter().map(|row| row[j]).collect())
        .collect();
    let times: Vec<u32> = times.iter().map(|hours| hours + shift).collect();
    for hours in [rows, columns] {
        let left_out = hours.len() - times.len();
        let missing_wh = BATTERY_WH * f64::from(u32::try_from(left_out).expect("small"));
        check(&hours, &vec![BATTERY_WH; hours.len()], &times, missing_wh);
    }
}

/// Burkard, Dell'Amico, Martello, *Assignment Problems*, SIAM 2009, 6.2, example
/// 6.5: bottleneck 5; read, in a library's comment that quotes it. Sum and times:
/// computed by enumeration, as in all cases below.
#[test]
fn textbook_example() {
    case(
        &[[8, 2, 3, 3], [2, 7, 5, 8], [0, 9, 8, 4], [2, 5, 6, 3]],
        5,
        10,
        &[5, 3, 2, 0],
    );
}

/// The sample matrix of that book's companion site: matrix read, answer computed.
#[test]
fn textbook_sample() {
    case(
        &[[5, 2, 3, 4], [7, 8, 4, 5], [6, 3, 5, 6], [2, 2, 3, 5]],
        4,
        13,
        &[4, 4, 3, 2],
    );
}

/// Unit tests of an open-source bottleneck assignment solver: matrices and
/// bottlenecks read. With more devices than ports, batteries being equal, the plan's
/// order is free in whom to leave out, and the longest time decides.
#[test]
fn another_solvers_tests() {
    case(&[[1, 2, 3], [4, 5, 6], [7, 8, 9]], 7, 15, &[7, 5, 3]);
    case(&[[1, 2], [3, 4]], 3, 5, &[3, 2]);
    case(&[[1, 2, 3], [4, 5, 6]], 4, 6, &[4, 2]);
    case(
        &[
            [10, 1, 20, 30, 40],
            [50, 60, 2, 70, 80],
            [90, 100, 110, 3, 120],
        ],
        3,
        6,
        &[3, 2, 1],
    );
}

/// The least sum, 15, would have 9 for its longest time: constructed, computed.
#[test]
fn bottleneck_before_sum() {
    case(&[[9, 5, 5], [9, 6, 7], [5, 1, 7]], 6, 16, &[6, 5, 5]);
}

/// The 3 × 2 matrix of [`another_solvers_tests`] again, its first device with half
/// the battery of the others: leaving it out misses the fewest watt-hours, and that
/// comes before any time. The two others then take (5, 3) or (2, 6): by hand.
#[test]
fn missing_energy_before_the_bottleneck() {
    let hours = [vec![1, 4], vec![2, 5], vec![3, 6]];
    check(&hours, &[10.0, 20.0, 20.0], &[5, 3], 10.0);
}

/// J. E. Beasley, *Linear programming on Cray supercomputers*, J. Oper. Res. Soc. 41
/// (1990) 133-139, instance assign100 of the OR-Library: 100 devices on 100 ports.
/// The published least sum, 305, belongs to an assignment with 7 for its longest
/// time. Bottleneck 5: computed by two programs (threshold and matching; an integer
/// program); the least sum that keeps it, 307: computed. All times in the plan's
/// order: computed, as an assignment whose costs are powers of 101.
#[test]
fn or_library_assign100() {
    let mut numbers = include_str!("../../fixtures/reference/assign100.txt")
        .split_ascii_whitespace()
        .map(|number| number.parse::<u32>().expect("a number"));
    assert_eq!(numbers.next(), Some(100), "its size comes first");
    let entries: Vec<u32> = numbers.collect();
    assert_eq!(entries.len(), 100 * 100, "one row after the other");
    let hours: Vec<Vec<u32>> = entries.chunks(100).map(<[u32]>::to_vec).collect();
    let expected: Vec<u32> = [(5, 7), (4, 34), (3, 29), (2, 30)]
        .iter()
        .flat_map(|&(h, n)| vec![h; n])
        .collect();
    assert!(
        expected.iter().sum::<u32>() >= 307,
        "no plan with this bottleneck sums to less"
    );
    check(&hours, &[BATTERY_WH; 100], &expected, 0.0);
}
