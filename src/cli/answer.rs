//! A plan or a rota, as a command is given one: by its document it is known which.

use serde::Deserialize;
use serde::de::IgnoredAny;

use super::Exit;
use super::input::Text;
use crate::report::Page;
use crate::{
    Error, Plan, Reshared, Result, Rota, Setup, SharingRules, Timeline, TimelineOptions,
    Verification, reshared_with, rota_reshared_with, rota_timeline_with, sharing_rules_with,
    timeline_with, verify, verify_rota,
};

pub(super) enum Answer {
    Plan(Plan),
    Rota(Rota),
}

impl Answer {
    /// Reads a plan document or a rota document. A plan document has no sessions.
    pub(super) fn read(text: &Text) -> Result<Self> {
        #[derive(Deserialize)]
        struct Sessions {
            sessions: Option<IgnoredAny>,
        }
        let found = serde_json::from_str::<Sessions>(&text.text);
        if found.is_ok_and(|found| found.sessions.is_some()) {
            Rota::from_source(text.source()).map(Self::Rota)
        } else {
            Plan::from_source(text.source()).map(Self::Plan)
        }
    }

    /// As [`Answer::read`], one that keeps every rule of the setup.
    pub(super) fn read_sound(setup: &Setup, text: &Text) -> Result<Self> {
        let answer = Self::read(text)?;
        let found = answer.verified(setup).violations;
        if found.is_empty() {
            return Ok(answer);
        }
        Err(Error::Input(text.source().locate(found)))
    }

    /// Held against its setup.
    pub(super) fn verified(&self, setup: &Setup) -> Verification {
        match self {
            Self::Plan(plan) => verify(setup, plan),
            Self::Rota(rota) => verify_rota(setup, rota),
        }
    }

    /// Whether it lists devices without a berth, with the reasons.
    pub(super) fn has_causes(&self) -> bool {
        match self {
            Self::Plan(plan) => !plan.without_berth.is_empty(),
            Self::Rota(rota) => !rota.without_berth.is_empty(),
        }
    }

    pub(super) fn timeline(&self, setup: &Setup, options: &TimelineOptions) -> Result<Timeline> {
        match self {
            Self::Plan(plan) => timeline_with(setup, plan, options),
            Self::Rota(rota) => rota_timeline_with(setup, rota, options),
        }
    }

    pub(super) fn reshared(&self, setup: &Setup, options: &TimelineOptions) -> Result<Reshared> {
        match self {
            Self::Plan(plan) => reshared_with(setup, plan, options),
            Self::Rota(rota) => rota_reshared_with(setup, rota, options),
        }
    }

    /// A page with its night drawn.
    pub(super) fn with_night(&self, page: Page, setup: &Setup, night: &Timeline) -> Page {
        match self {
            Self::Plan(plan) => page.with_night(setup, plan, night),
            Self::Rota(rota) => page.with_rota_night(setup, rota, night),
        }
    }

    /// Under each rule by which chargers share; of a rota there is no such answer.
    pub(super) fn sharing_rules(
        &self,
        setup: &Setup,
        options: &TimelineOptions,
    ) -> Result<SharingRules> {
        match self {
            Self::Plan(plan) => sharing_rules_with(setup, plan, options),
            Self::Rota(_) => Err(Error::Options {
                message: "--rules is told of a plan, and this document is a rota".to_owned(),
            }),
        }
    }

    /// Whether every device has a berth and none is late, as an exit code.
    pub(super) fn exit(&self) -> Exit {
        match self {
            Self::Plan(plan) => Exit::of_plan(plan),
            Self::Rota(rota) => Exit::of_rota(rota),
        }
    }
}
