//! What comes out of the wall at a stop: voltages, frequencies, sockets, and who says so.

use super::finding::Grounds;
use crate::facts::{Mains, Plug, Socket, country_name};
use crate::setup::StopSpec;

/// A stop with what is known of its mains.
#[derive(Debug)]
pub(super) struct Site<'a> {
    pub(super) stop: &'a StopSpec,
    /// Lowest first; empty where nothing is known.
    pub(super) volts: Vec<f64>,
    pub(super) hertz: Vec<f64>,
    /// The sockets that occur.
    pub(super) sockets: Vec<Socket>,
    pub(super) of_volts: Grounds,
    pub(super) of_hertz: Grounds,
    pub(super) of_sockets: Grounds,
    table: Option<&'static Mains>,
}

impl<'a> Site<'a> {
    /// What the setup says of the stop, and for the rest the table of its country.
    pub(super) fn of(stop: &'a StopSpec) -> Self {
        let table = Mains::of(&stop.country);
        let grounds = |own: bool, what: &str| match table {
            _ if own => Grounds::default().and_said(what),
            Some(table) => Grounds::of(table.source),
            None => Grounds::default(),
        };
        let volts = stop.volts.clone();
        let hertz = stop.hertz.clone();
        let sockets = stop.sockets.clone();
        Self {
            stop,
            of_volts: grounds(volts.is_some(), "`voltages_v` of the stop"),
            of_hertz: grounds(hertz.is_some(), "`frequencies_hz` of the stop"),
            of_sockets: grounds(sockets.is_some(), "`sockets` of the stop"),
            volts: volts.unwrap_or_else(|| table.map_or(Vec::new(), |row| row.nominal_v.to_vec())),
            hertz: hertz
                .unwrap_or_else(|| table.map_or(Vec::new(), |row| row.frequency_hz.to_vec())),
            sockets: sockets
                .unwrap_or_else(|| table.map_or(Vec::new(), |row| in_walls(row.sockets))),
            table,
        }
    }

    /// The country, for sentences.
    pub(super) fn country(&self) -> &str {
        country_name(&self.stop.country).unwrap_or(&self.stop.country)
    }

    /// What the table adds in words, where it is the table that is gone by.
    pub(super) fn note(&self) -> Option<&'static str> {
        self.table
            .map(|row| row.note)
            .filter(|note| !note.is_empty())
    }

    /// `230 V`, `127 or 220 V`.
    pub(super) fn volts_text(&self) -> String {
        format!("{} V", listed(&self.volts, "or"))
    }

    /// `50 Hz`, `50 or 60 Hz`.
    pub(super) fn hertz_text(&self) -> String {
        format!("{} Hz", listed(&self.hertz, "or"))
    }

    /// The kinds of sockets that occur, each once: a letter may stand for several.
    pub(super) fn systems(&self) -> Vec<Plug> {
        let mut systems: Vec<Plug> = Vec::new();
        for &system in self.sockets.iter().flat_map(|socket| socket.systems()) {
            if !systems.contains(&system) {
                systems.push(system);
            }
        }
        systems
    }

    /// `G`, `A or B`.
    pub(super) fn sockets_text(&self) -> String {
        let letters: Vec<&str> = self.sockets.iter().map(|socket| socket.letter()).collect();
        listed(&letters, "or")
    }
}

/// The sockets among the letters of a list by country. C stands there for the plug that
/// goes into several of the others; it counts as a socket where it is all there is.
fn in_walls(listed: &[Socket]) -> Vec<Socket> {
    let only_c = |socket: &Socket| socket.systems() == [Plug::C];
    if listed.iter().all(only_c) {
        return listed.to_vec();
    }
    listed
        .iter()
        .copied()
        .filter(|socket| !only_c(socket))
        .collect()
}

/// `a`, `a or b`, `a, b or c`.
pub(super) fn listed<T: std::fmt::Display>(things: &[T], word: &str) -> String {
    let mut text = String::new();
    for (i, thing) in things.iter().enumerate() {
        if i > 0 {
            text.push_str(if i + 1 < things.len() { ", " } else { " " });
            if i + 1 == things.len() {
                text.push_str(word);
                text.push(' ');
            }
        }
        text.push_str(&thing.to_string());
    }
    text
}
