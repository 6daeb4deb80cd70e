//! A page as text of 80 columns, for a terminal or a file.
//!
//! Colour only repeats what the words say.

mod layout;
mod table;

use std::io::{self, Write};

use anstyle::{AnsiColor, Style};

use super::page::{Block, Page, Section, Shown, Tone};
use layout::{hanging, paragraph};
use table::Widths;

pub(crate) use layout::indented;

/// The styles of a page's parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Palette {
    /// The first line, where every device is served in time.
    pub good: Style,
    /// The first line, where one is not; what is late or without a berth.
    pub bad: Style,
    /// Titles of sections and columns.
    pub title: Style,
    /// The title of the cautions.
    pub caution: Style,
}

impl Palette {
    /// No styles at all: text for a file.
    pub const PLAIN: Self = Self {
        good: Style::new(),
        bad: Style::new(),
        title: Style::new(),
        caution: Style::new(),
    };
    /// Styles as ANSI escapes: text for a terminal.
    pub const COLOUR: Self = Self {
        good: AnsiColor::Green.on_default().bold(),
        bad: AnsiColor::Red.on_default().bold(),
        title: Style::new().bold(),
        caution: AnsiColor::Yellow.on_default().bold(),
    };

    fn of(&self, tone: Tone) -> Style {
        match tone {
            Tone::Plain => self.title,
            Tone::Bad => self.bad,
            Tone::Caution => self.caution,
        }
    }
}

impl Page {
    /// Writes what was reached, its first paragraph, as text of at most 80 columns.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_headline(&self, palette: &Palette, out: &mut impl Write) -> io::Result<()> {
        let style = if self.good { palette.good } else { palette.bad };
        paragraph(&self.headline, style, out)
    }

    /// Writes it as text, at most 80 columns wide.
    ///
    /// # Errors
    /// Those of `out`.
    pub fn write_text(&self, palette: &Palette, out: &mut impl Write) -> io::Result<()> {
        self.write_headline(palette, out)?;
        for sentence in &self.lead {
            paragraph(sentence, Style::new(), out)?;
        }
        let sections = || {
            let sections = self.sections.iter();
            sections.filter(|section| section.shown != Shown::InPictures)
        };
        let blocks = sections().flat_map(|section| &section.blocks);
        let tables = blocks.filter_map(|block| match block {
            Block::Table(table) => Some(table),
            Block::Line(_) => None,
        });
        let widths = Widths::of(tables);
        for section in sections() {
            section.write_text(&widths, palette, out)?;
        }
        Ok(())
    }
}

impl Section {
    fn write_text(
        &self,
        widths: &Widths<'_>,
        palette: &Palette,
        out: &mut impl Write,
    ) -> io::Result<()> {
        writeln!(out)?;
        if !self.title.is_empty() {
            paragraph(&self.title, palette.of(self.tone), out)?;
        }
        for block in &self.blocks {
            match block {
                Block::Line(line) => hanging(&line.before(), &line.text, out)?,
                Block::Table(table) => widths.write(table, palette.title, out)?,
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use comfy_table::Table;

    use super::super::page::Rows;
    use super::super::tests::{berth, charger, device, plan, setup};
    use super::*;
    use crate::plan::{Plan, PoolUse};
    use crate::setup::Setup;

    fn text(page: &Page, palette: &Palette) -> String {
        let mut bytes = Vec::new();
        let written = page.write_text(palette, &mut bytes);
        written.expect("a vector takes every byte");
        String::from_utf8(bytes).expect("the page is text")
    }

    fn plain(setup: &Setup, plan: &Plan) -> String {
        text(&Page::of_plan(setup, plan), &Palette::PLAIN)
    }

    /// Columns on the screen, by the table's own measure.
    fn width(line: &str) -> u16 {
        let mut table = Table::new();
        table.add_row([line]);
        table
            .column_max_content_widths()
            .first()
            .copied()
            .unwrap_or(0)
    }

    #[test]
    fn the_page_of_a_plain_plan() {
        let setup = setup(
            vec![
                charger("two-bank charger", &["C1", "C2", "A1"]),
                charger("cube", &["C1"]),
            ],
            vec![
                device("laptop", 20.0),
                device("phone 1", 20.0),
                device("recorder", 20.0),
            ],
        );
        let mut plan = plan(
            vec![
                berth("laptop", "two-bank charger", "C2", 9.0 + 10.0 / 60.0),
                berth("phone 2", "two-bank charger", "C1", 0.75),
            ],
            1,
        );
        plan.pools = vec![PoolUse {
            charger: "two-bank charger".to_owned(),
            pool: "total".to_owned(),
            used_w: 130.0,
            max_w: 140.0,
        }];
        plan.cautions = vec![
            "a pool binds: the charger divides by its own rule, so this is the best case"
                .to_owned(),
        ];
        insta::assert_snapshot!(plain(&setup, &plan), @r"
            2 of 3 devices full after 9 h 10 min at the latest, 1 without a port, 1 late;
            proven: no plan is better

            two-bank charger
              Port  Device   Cable        Volts, amps  Watts  Full after  Limited by
              ──────────────────────────────────────────────────────────────────────
              C1    phone 2  braided 2 m  20 V 3.25 A  65 W   45 min      device
              C2    laptop   braided 2 m  20 V 3.25 A  65 W   9 h 10 min  device
                                                              late
              shared: total 130 of 140 W
              free: A1

            cube
              not used

            Late
              - laptop: full after 9 h 10 min at best, needed after 8 h 00 min: 1 h 10 min
                late

            Without a port
              - phone 1: no cable in the bag ends in its inlet, usb-micro-b

            Alike, any in place of another
              - two-bank charger: C1, C2 and A1
              - devices: laptop, phone 1 and recorder

            Cautions
              - a pool binds: the charger divides by its own rule, so this is the best case
            ");
    }

    #[test]
    fn every_line_fits_the_page() {
        let names = [
            "x".repeat(200),
            "<script>alert('1')</script> & \"quotes\"".to_owned(),
            "טאבלט של התווים הראשון במעלה".to_owned(),
            "👩‍🚀🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻🎻".to_owned(),
            "譜面用タブレットの一番目の非常に長い名前".to_owned(),
            "many short words that go on and on until the cell has to break".to_owned(),
            "esc\u{1b}[2Jape\r\n".to_owned(),
        ];
        for name in &names {
            let setup = setup(vec![charger(name, &["C1", name])], vec![device(name, 0.0)]);
            let mut plan = plan(
                vec![berth(name, name, "C1", 12.5), berth(name, name, name, 12.0)],
                2,
            );
            plan.berths[1].cable.clone_from(name);
            plan.without_berth[0].device.clone_from(name);
            plan.cautions = vec![format!("the cable `{name}` is long")];
            plan.pools = vec![PoolUse {
                charger: name.clone(),
                pool: name.clone(),
                used_w: 60.0,
                max_w: 60.0,
            }];
            let page = plain(&setup, &plan);
            for line in page.lines() {
                assert!(width(line) <= 80, "{} columns: {line}", width(line));
                assert!(!line.ends_with(' '), "blanks at the end: {line:?}");
            }
            assert!(!page.contains(['\u{1b}', '\r']), "{page:?}");
            assert!(page.contains("late"));
        }
    }

    #[test]
    fn answers_that_find_no_room_go_into_a_table_below() {
        let mut rows = Rows::of(["here", "there"]).names("Stop", |stop| *stop);
        for thing in ["a", "b", "c", "d", "e", "f"] {
            rows = rows.answers(thing, |_| "straight in");
        }
        let mut page = Page::new(String::new(), "a trip".to_owned(), true);
        page.push(Section::titled("").table(rows.table()));
        let text = text(&page, &Palette::PLAIN);
        let tables: Vec<&str> = text.split("\n\n").skip(1).collect();
        assert_eq!(tables.len(), 2, "{text}");
        for (table, things) in tables.iter().zip(["abcde", "f"]) {
            let titles = table.lines().next().unwrap_or_default();
            let titles: String = titles.split_whitespace().skip(1).collect();
            assert_eq!(titles, things);
            assert!(table.contains("  here ") && table.contains("  there "));
        }
    }

    #[test]
    fn tables_with_the_same_columns_are_as_wide_as_each_other() {
        let mut page = Page::new(String::new(), "two".to_owned(), true);
        for name in ["a", "a long name"] {
            let rows = Rows::of([name]).names("Who", |name| *name);
            let table = rows.facts("What", |_| "full").table();
            page.push(Section::titled("").table(table));
        }
        let text = text(&page, &Palette::PLAIN);
        let ends = text.lines().filter_map(|line| line.find("full"));
        assert_eq!(ends.collect::<Vec<_>>(), [15, 15], "{text}");
    }

    #[test]
    fn colour_adds_only_escapes() {
        let setup = setup(
            vec![charger("bank", &["C1", "C2"])],
            vec![device("laptop", 20.0)],
        );
        let mut plan = plan(vec![berth("laptop", "bank", "C1", 9.0)], 1);
        plan.cautions = vec!["a caution".to_owned()];
        let page = Page::of_plan(&setup, &plan);
        let coloured = text(&page, &Palette::COLOUR);
        assert!(coloured.contains('\u{1b}'));
        let stripped = anstream::adapter::strip_str(&coloured).to_string();
        assert_eq!(stripped, text(&page, &Palette::PLAIN));
    }
}
