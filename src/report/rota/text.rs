//! The rota as text of 80 columns.

use std::io::{self, Write};

use anstyle::Style;

use super::super::Palette;
use super::super::page::{hanging, notes, paragraph};
use super::super::table::Columns;
use super::super::text::full_after;
use super::{MomentReport, Note, RotaReport, RotaRow};

const COLUMNS: Columns<6> = Columns {
    header: [
        "Device",
        "Sessions",
        "Charges for",
        "Full",
        "Needed",
        "Limited by",
    ],
    yielding: &[0, 1],
};

/// Writes the report as lists and a table, at most 80 columns wide.
///
/// # Errors
/// Those of `out`.
pub fn write_rota(report: &RotaReport, palette: &Palette, out: &mut impl Write) -> io::Result<()> {
    let first = if report.all_served {
        palette.good
    } else {
        palette.bad
    };
    paragraph(&report.headline, first, out)?;
    paragraph(&report.totals, Style::new(), out)?;
    if let Some(bounds) = &report.bounds {
        paragraph(bounds, Style::new(), out)?;
    }
    for moment in &report.moments {
        write_moment(moment, palette, out)?;
    }
    if !report.rows.is_empty() {
        writeln!(out)?;
        let rows: Vec<_> = report.rows.iter().map(cells).collect();
        COLUMNS.write(&rows, &COLUMNS.widths(&rows), palette.title, out)?;
    }
    let late = report.late.iter().map(Note::to_string);
    notes("Late", palette.bad, late, out)?;
    let without = report.without_berth.iter().map(Note::to_string);
    notes("Without a berth", palette.bad, without, out)?;
    let no_need = report.no_need.iter().cloned();
    notes("Full as they are", palette.title, no_need, out)?;
    let cautions = report.cautions.iter().cloned();
    notes("Cautions", palette.caution, cautions, out)
}

fn write_moment(moment: &MomentReport, palette: &Palette, out: &mut impl Write) -> io::Result<()> {
    writeln!(out)?;
    paragraph(
        &format!("{}  {}", moment.at, moment.begins),
        palette.title,
        out,
    )?;
    if !moment.take_out.is_empty() {
        hanging("take out: ", &moment.take_out.join(", "), out)?;
    }
    for plug_in in &moment.plug_in {
        hanging("plug in: ", plug_in, out)?;
    }
    if !moment.pools.is_empty() {
        hanging("pools: ", &moment.pools.join("; "), out)?;
    }
    Ok(())
}

fn cells(row: &RotaRow) -> [String; 6] {
    [
        row.device.clone(),
        row.sessions.clone(),
        row.charges_for.clone(),
        match row.late {
            Some("late") => full_after(&row.full, true),
            Some(other) => format!("{}\n{other}", row.full),
            None => row.full.clone(),
        },
        row.needed.clone(),
        row.limited_by.to_owned(),
    ]
}

#[cfg(test)]
mod tests {
    use comfy_table::Table;

    use super::*;
    use crate::plan::PoolUse;
    use crate::plan::rota::{Rota, RotaBerth, RotaPoolUse, RotaSession};
    use crate::report::tests::{berth, charger, device, plan, setup};
    use crate::setup::clock::TimeOfDay;
    use crate::setup::{SessionSpec, Setup};

    /// Two sessions of 3.5 and 8 h, and a third in which nobody can swap; `name` is the
    /// first berth's device, charger, port and session.
    fn night(name: &str) -> (Setup, Rota) {
        let mut setup = setup(
            vec![charger(name, &[name, "C2"]), charger("cube", &["C1"])],
            vec![
                device(name, 0.0),
                device("laptop", 20.0),
                device("pack", 5.0),
            ],
        );
        setup.start = TimeOfDay::parse("19:00");
        let (mut sessions, mut start_h) = (Vec::new(), 0.0);
        for (session, hours, swap) in [
            (name, 3.5, true),
            ("night", 8.0, true),
            ("call", 1.0, false),
        ] {
            setup.sessions.push(SessionSpec {
                name: session.to_owned(),
                hours,
                swap,
            });
            sessions.push(RotaSession {
                name: session.to_owned(),
                start_h,
                end_h: start_h + hours,
            });
            start_h += hours;
        }
        let over = |berth, session: &str, until: &str, finish_h| RotaBerth {
            berth,
            session: session.to_owned(),
            until_session: until.to_owned(),
            finish_h,
        };
        let mut berths = vec![
            over(berth(name, name, name, 2.01), name, name, 2.01),
            over(berth("laptop", "cube", "C1", 6.0), "night", "night", 9.5),
            over(berth("pack", name, "C2", 13.0), name, "call", 13.0),
        ];
        berths[1].berth.late = true;
        let plan = plan(Vec::new(), 1);
        let pool = PoolUse {
            charger: name.to_owned(),
            pool: "total".to_owned(),
            used_w: 60.0,
            max_w: 60.0,
        };
        let rota = Rota {
            version: 1,
            status: plan.status,
            settled: None,
            longest_h: 13.0,
            reshared_h: None,
            bound_h: Some(13.0),
            unserved: 1,
            bound_unserved: None,
            missing_wh: 12.0,
            late: 2,
            bound_late: None,
            berths,
            without_berth: plan.without_berth,
            pools: vec![RotaPoolUse {
                of: pool,
                session: name.to_owned(),
            }],
            cautions: vec!["a pool binds".to_owned()],
            start: Some("19:00".to_owned()),
            sessions,
            swaps: 1,
            held_wh: 123.4,
        };
        (setup, rota)
    }

    fn page(setup: &Setup, rota: &Rota) -> String {
        let mut bytes = Vec::new();
        let report = RotaReport::new(setup, rota);
        write_rota(&report, &Palette::PLAIN, &mut bytes).expect("a vector takes every byte");
        String::from_utf8(bytes).expect("the report is text")
    }

    #[test]
    fn the_page_of_a_rota() {
        let (setup, rota) = night("evening");
        insta::assert_snapshot!(page(&setup, &rota), @r"
            2 of 4 devices full after 9 h 30 min at the latest, 1 without a berth, 1 not
            full when taken out, 1 late; proven: no rota is better
            the last one full 04:30; 1 to plug in after the start; 123 Wh held

            19:00  evening
              plug in: evening → evening/evening with braided 2 m (20 V 3.25 A, full 21:01)
              plug in: pack → evening/C2 with braided 2 m (20 V 3.25 A, not full before it
                       is taken out)
              pools: evening/total 60 of 60 W

            22:30  night
              take out: evening
              plug in: laptop → cube/C1 with braided 2 m (20 V 3.25 A, full 04:30)

            07:30  the end
              take out: laptop, pack (not full)

              Device   Sessions         Charges for  Full         Needed  Limited by
              ──────────────────────────────────────────────────────────────────────
              evening  evening          2 h 01 min   21:01        03:00   device
              laptop   night            6 h 00 min   04:30        03:00   device
                                                     late
              pack     evening to call  13 h 00 min  08:00        03:00   device
                                                     not reached

            Late
              - laptop: full 04:30, needed 03:00: 1 h 30 min late
              - pack: taken out 07:30, 30 min before it is full

            Without a berth
              - phone 1: no cable in the bag ends in its inlet, usb-micro-b

            Cautions
              - a pool binds
            ");
    }

    #[test]
    fn every_line_fits_the_page() {
        for name in [
            "x".repeat(200),
            "טאבלט של התווים הראשון במעלה".to_owned(),
            "譜面用タブレットの一番目の非常に長い名前".to_owned(),
            "many short words that go on and on until the cell has to break".to_owned(),
            "esc\u{1b}[2Jape\r\n".to_owned(),
        ] {
            let (setup, rota) = night(&name);
            let page = page(&setup, &rota);
            for line in page.lines() {
                let mut table = Table::new();
                table.add_row([line]);
                let width = table.column_max_content_widths().first().copied();
                assert!(width.is_none_or(|width| width <= 80), "{width:?}: {line}");
                assert!(!line.ends_with(' '), "blanks at the end: {line:?}");
            }
            assert!(!page.contains(['\u{1b}', '\r']), "{page:?}");
        }
    }
}
