//! An answer as people read it: decided once, laid out by each renderer.

/// An answer in sentences, lists and tables.
///
/// Names are as given, with whatever is invisible escaped; times and watts are rounded so
/// that they promise nothing that is not there.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub struct Page {
    /// What it is about, where it is read by itself.
    pub title: String,
    /// What was reached, in one line.
    pub headline: String,
    /// Whether the headline begins with a name, whose first letter stays as it is.
    pub begins_with_name: bool,
    /// Whether that is good news.
    pub good: bool,
    /// What a reader of the text wants to know next, a sentence each.
    pub lead: Vec<String>,
    /// Everything else, in order.
    pub sections: Vec<Section>,
    /// What is drawn of it.
    #[cfg(feature = "pictures")]
    pub(super) figures: Vec<super::picture::Figure>,
}

/// Lines and tables under a title.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Section {
    /// Its title, or a sentence that stands by itself; empty where it has none.
    pub title: String,
    /// How it is told.
    pub tone: Tone,
    /// Where it is shown.
    pub shown: Shown,
    /// Whether it stands beside its neighbours where there is room.
    pub beside: bool,
    /// Whether a page folds it away until it is asked for.
    pub folded: bool,
    /// What it says.
    pub blocks: Vec<Block>,
}

/// How a section is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Tone {
    /// As a fact.
    Plain,
    /// As something that is not as it should be.
    Bad,
    /// As something to keep in mind.
    Caution,
}

/// Where a section is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Shown {
    /// By every renderer.
    Everywhere,
    /// In the text of 80 columns, which is short.
    InText,
    /// Beside drawings, with names as long as they are.
    InPictures,
}

/// A part of a section.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum Block {
    /// A line.
    Line(Line),
    /// A table.
    Table(Table),
}

/// A sentence of a list, or a fact.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Line {
    /// The mark before it: `-`; empty where it is no part of a list.
    pub mark: &'static str,
    /// What it tells of: `free`; may be empty.
    pub label: String,
    /// What it says.
    pub text: String,
}

/// A table. Those of a page with the same columns are as wide as each other.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Table {
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// Whether it says nothing that a drawing on the same page does not.
    pub drawn: bool,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Column {
    /// Its title; may be empty.
    pub title: String,
    /// What its cells are.
    pub cells: Cells,
}

/// What the cells of a column are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Cells {
    /// Quantities and words: the last to be broken.
    Facts,
    /// Names and sentences: the first to be broken where there is no room.
    Names,
    /// One answer of many of a kind: what is too much beside each other goes below.
    Answers,
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub struct Row {
    /// A cell for each column.
    pub cells: Vec<String>,
    /// Whether it is the one that the page is about.
    pub chosen: bool,
}

impl Page {
    /// Without anything below its headline.
    pub(super) fn new(title: String, headline: String, good: bool) -> Self {
        Self {
            title,
            headline,
            begins_with_name: false,
            good,
            lead: Vec::new(),
            sections: Vec::new(),
            #[cfg(feature = "pictures")]
            figures: Vec::new(),
        }
    }

    pub(super) fn push(&mut self, section: Section) {
        self.sections.push(section);
    }

    /// A list of sentences; nothing at all where there are none.
    pub(super) fn notes(&mut self, title: &str, tone: Tone, items: Vec<String>) {
        self.notes_in(Shown::Everywhere, title, tone, items);
    }

    /// The same where it is shown in some places only.
    pub(super) fn notes_in(&mut self, shown: Shown, title: &str, tone: Tone, items: Vec<String>) {
        if !items.is_empty() {
            let section = Section::titled(title).lines(items.into_iter().map(Line::item));
            self.push(section.told(tone).shown(shown));
        }
    }
}

impl Section {
    /// Shown everywhere, as a fact, and still empty.
    pub(super) fn titled(title: impl Into<String>) -> Self {
        Self {
            title: title.into(),
            tone: Tone::Plain,
            shown: Shown::Everywhere,
            beside: false,
            folded: false,
            blocks: Vec::new(),
        }
    }

    /// The same with a table.
    pub(super) fn table(self, table: Table) -> Self {
        self.and([Block::Table(table)])
    }

    /// The same with lines.
    pub(super) fn lines(self, lines: impl IntoIterator<Item = Line>) -> Self {
        self.and(lines.into_iter().map(Block::Line))
    }

    fn and(mut self, blocks: impl IntoIterator<Item = Block>) -> Self {
        self.blocks.extend(blocks);
        self
    }

    /// The same told otherwise.
    pub(super) fn told(self, tone: Tone) -> Self {
        Self { tone, ..self }
    }

    /// The same folded away.
    pub(super) fn folded(self) -> Self {
        Self {
            folded: true,
            ..self
        }
    }

    /// The same in one place only.
    pub(super) fn shown(self, shown: Shown) -> Self {
        Self { shown, ..self }
    }
}

impl Line {
    /// An item of a list.
    pub(super) fn item(text: impl Into<String>) -> Self {
        Self {
            mark: "-",
            ..Self::text(text)
        }
    }

    /// A line by itself.
    pub(super) fn text(text: impl Into<String>) -> Self {
        Self {
            mark: "",
            label: String::new(),
            text: text.into(),
        }
    }

    /// What stands before its text.
    #[cfg(any(feature = "cli", feature = "pictures"))]
    pub(super) fn before(&self) -> String {
        let mut before = self.mark.to_owned();
        if !before.is_empty() {
            before += " ";
        }
        if !self.label.is_empty() {
            before = format!("{before}{}: ", self.label);
        }
        before
    }

    /// What it tells of, where that is no mark: `3 cables: `.
    #[cfg(feature = "pictures")]
    pub(super) fn kind(&self) -> String {
        match self.label.as_str() {
            "" => String::new(),
            label => format!("{label}: "),
        }
    }

    /// Facts of one kind beside each other; nothing where there are none.
    pub(super) fn labelled(label: &str, facts: &[String], between: &str) -> Option<Self> {
        let line = Self {
            label: label.to_owned(),
            ..Self::text(facts.join(between))
        };
        (!facts.is_empty()).then_some(line)
    }
}

/// What the rows of a table are of, while it is told column by column.
pub(super) struct Rows<R> {
    of: Vec<R>,
    table: Table,
}

impl<R> Rows<R> {
    pub(super) fn of(rows: impl IntoIterator<Item = R>) -> Self {
        let of: Vec<R> = rows.into_iter().collect();
        let row = |_: &R| Row {
            cells: Vec::new(),
            chosen: false,
        };
        let table = Table {
            columns: Vec::new(),
            rows: of.iter().map(row).collect(),
            drawn: false,
        };
        Self { of, table }
    }

    /// A column of facts.
    pub(super) fn facts<C: Into<String>>(self, title: &str, cell: impl Fn(&R) -> C) -> Self {
        self.column(title, Cells::Facts, cell)
    }

    /// A column of names.
    pub(super) fn names<C: Into<String>>(self, title: &str, cell: impl Fn(&R) -> C) -> Self {
        self.column(title, Cells::Names, cell)
    }

    /// A column of answers.
    pub(super) fn answers<C: Into<String>>(self, title: &str, cell: impl Fn(&R) -> C) -> Self {
        self.column(title, Cells::Answers, cell)
    }

    fn column<C: Into<String>>(
        mut self,
        title: &str,
        cells: Cells,
        cell: impl Fn(&R) -> C,
    ) -> Self {
        let title = title.to_owned();
        self.table.columns.push(Column { title, cells });
        for (row, of) in self.table.rows.iter_mut().zip(&self.of) {
            row.cells.push(cell(of).into());
        }
        self
    }

    /// With the rows that the page is about.
    pub(super) fn chosen(mut self, chosen: impl Fn(&R) -> bool) -> Self {
        for (row, of) in self.table.rows.iter_mut().zip(&self.of) {
            row.chosen = chosen(of);
        }
        self
    }

    pub(super) fn table(self) -> Table {
        self.table
    }
}

impl Table {
    /// The same where a drawing shows it.
    pub(super) fn drawn(self) -> Self {
        Self {
            drawn: true,
            ..self
        }
    }

    /// The same with its second column first.
    pub(super) fn second_first(mut self) -> Self {
        self.columns.swap(0, 1);
        for row in &mut self.rows {
            row.cells.swap(0, 1);
        }
        self
    }
}
