//! A ranking as comma-separated values (RFC 4180, section 2): a line of titles, then a line
//! for each kit, every line ended by CRLF, quotes where a cell needs them.
//!
//! Numbers are plain, as the document has them; a cell is empty where that has no number, or
//! null. A spreadsheet would take a text that begins with one of `=+-@`, a tab or a carriage
//! return for a formula, and names are whatever people wrote: such a text has an apostrophe
//! before it, which spreadsheets take for "this is text" (common practice).

use csv::{Terminator, WriterBuilder};

use super::{Ranked, Ranking};
use crate::json::on_one_line;

const TITLES: [&str; 13] = [
    "rank",
    "kit",
    "unbeaten",
    "unserved",
    "unserved_priority_1",
    "unserved_priority_2",
    "unserved_priority_3",
    "late",
    "longest_h",
    "reshared_h",
    "weight_g",
    "price",
    "status",
];

impl Ranking {
    /// The kits as CSV (RFC 4180), the best first, with a header; behind the others a column for
    /// each device whose times were asked for, `full_h` with its name. Of a text that a
    /// spreadsheet would take for a formula the first character is an apostrophe.
    pub fn to_csv(&self) -> String {
        table(&self.ranked)
    }
}

fn table(ranked: &[Ranked]) -> String {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .from_writer(Vec::new());
    let times = ranked.first().map_or(&[][..], |kit| &kit.times);
    let of_device = times.iter().map(|time| format!("full_h {}", time.device));
    let titles = TITLES.map(str::to_owned).into_iter().chain(of_device);
    let rows = ranked.iter().enumerate();
    let rows = rows.map(|(at, kit)| row(at + 1, kit));
    for row in std::iter::once(titles.collect()).chain(rows) {
        let written = writer.write_record(row);
        written.expect("a vector takes every byte, and each row has a cell for each title");
    }
    let bytes = writer.into_inner().expect("a vector takes every byte");
    String::from_utf8(bytes).expect("every cell is text")
}

fn row(rank: usize, kit: &Ranked) -> Vec<String> {
    let number = |value: Option<f64>| {
        let value = value.filter(|value| value.is_finite());
        value.map_or_else(String::new, |value| on_one_line(&value))
    };
    let [first, second, third] = kit.unserved_by_priority;
    let cells: [String; TITLES.len()] = [
        rank.to_string(),
        text(kit.candidate.join(" + ")),
        kit.unbeaten.to_string(),
        kit.unserved.to_string(),
        first.to_string(),
        second.to_string(),
        third.to_string(),
        kit.late.to_string(),
        number(Some(kit.longest_h)),
        number(kit.reshared_h),
        number(kit.weight_g),
        number(kit.price),
        kit.status.word().to_owned(),
    ];
    let times = kit.times.iter().map(|time| number(time.hours));
    cells.into_iter().chain(times).collect()
}

/// A text that is no formula.
fn text(text: String) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        format!("'{text}")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decide::rank::DeviceTime;
    use crate::plan::Status;
    use crate::plan::origin::Program;

    #[test]
    fn every_kit_is_a_line() {
        let kit = |names: &[&str], longest_h: f64| Ranked {
            candidate: names.iter().map(|name| (*name).to_owned()).collect(),
            members: Vec::new(),
            unserved: 1,
            unserved_by_priority: [0, 1, 0],
            late: 2,
            longest_h,
            reshared_h: None,
            weight_g: Some(180.0),
            price: Some(39.9),
            unbeaten: true,
            status: Status::Optimal,
            times: [("viola, left", Some(longest_h)), ("pedals", None)]
                .map(|(device, hours)| DeviceTime {
                    device: device.to_owned(),
                    hours,
                })
                .to_vec(),
            plan: None,
        };
        let ranking = Ranking {
            version: 1,
            program: Program::this(),
            setup_sha256: String::new(),
            ranked: vec![
                kit(&["cube", "desk, \"old\""], 1.0 / 3.0),
                kit(&["=1+1"], f64::INFINITY),
                kit(&["@desk\nlamp"], 2.0),
            ],
            kits: 3,
            planned: 3,
            ruled_out: 0,
            not_planned: 0,
            cautions: Vec::new(),
            left_out: 0,
            left_out_kits: Vec::new(),
        };
        let text = ranking.to_csv();
        let (titles, rows) = text.split_once("\r\n").expect("lines end so");
        let times = "\"full_h viola, left\",full_h pedals";
        assert_eq!(titles, format!("{},{times}", TITLES.join(",")));
        assert_eq!(
            rows,
            "1,\"cube + desk, \"\"old\"\"\",true,1,0,1,0,2,0.333333,,180,39.9,optimal,0.333333,\r\n\
             2,'=1+1,true,1,0,1,0,2,,,180,39.9,optimal,,\r\n\
             3,\"'@desk\nlamp\",true,1,0,1,0,2,2,,180,39.9,optimal,2,\r\n"
        );
    }
}
