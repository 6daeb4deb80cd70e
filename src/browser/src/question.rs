//! The questions that can be asked of a setup, each with its answer as the command line
//! gives it: the same options, the same document, the same page.

use std::time::Duration;

use serde::Serialize;
use wattberth::report::Page;
use wattberth::{
    Because, Error, Luggage, PackOptions, Plan, Rota, Setup, SolveOptions, Status, TimelineOptions,
    Trip, assign_from_with, assign_with, pack_with, rota_from_with, rota_timeline_with, rota_with,
    timeline_with, trip_with,
};

/// What can be asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Question {
    Plan,
    Why,
    Rota,
    Trip,
    Pack,
}

/// How long a call may go on, and what it may begin with.
pub(crate) struct Limits {
    time: Option<Duration>,
    from: Option<String>,
    quick: bool,
}

/// An answer as the page shows it.
#[derive(Serialize)]
pub(crate) struct Answer {
    headline: String,
    /// Whether everybody is served in time.
    good: bool,
    /// Whether it is proven best.
    proven: bool,
    /// Whether a limit struck nowhere: of what goes with a plan, too.
    settled: bool,
    /// A page that stands by itself.
    html: String,
    /// The document for programs.
    document: String,
}

impl Limits {
    pub(crate) fn new(
        seconds: Option<f64>,
        from: Option<String>,
        quick: bool,
    ) -> Result<Self, Error> {
        let time = seconds.map(Duration::try_from_secs_f64).transpose();
        let time = time.map_err(|_| Error::Options {
            message: "a number of seconds from 0 is needed".to_owned(),
        })?;
        Ok(Self { time, from, quick })
    }

    fn options(&self, budget: u64) -> SolveOptions {
        let mut options = SolveOptions::default();
        options.budget = budget;
        options.time_limit = self.time;
        options
    }

    /// As `assign` and `rota` are asked, where it need not be quick.
    fn in_full(&self) -> SolveOptions {
        let mut options = self.options(SolveOptions::DEFAULT_BUDGET);
        options.because = !self.quick;
        options.reshared = !self.quick;
        options
    }
}

impl Question {
    const ALL: [Self; 5] = [Self::Plan, Self::Why, Self::Rota, Self::Trip, Self::Pack];

    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Plan => "plan",
            Self::Why => "why",
            Self::Rota => "rota",
            Self::Trip => "trip",
            Self::Pack => "pack",
        }
    }

    pub(crate) fn named(name: &str) -> Result<Self, Error> {
        let all = Self::ALL.into_iter();
        let found = all.clone().find(|question| question.name() == name);
        found.ok_or_else(|| {
            let names: Vec<_> = all.map(Self::name).collect();
            Error::Options {
                message: format!("there is no question `{name}`, only {}", names.join(", ")),
            }
        })
    }

    /// Those that make sense of a setup.
    pub(crate) fn of(setup: &Setup) -> Vec<Self> {
        let document = setup.document();
        let charges = !(document.chargers.is_empty() || document.devices.is_empty());
        let mut questions = Vec::new();
        if charges {
            let one_night: &[Self] = &[Self::Plan, Self::Why];
            let in_sessions: &[Self] = &[Self::Rota];
            let swaps = !document.sessions.is_empty();
            questions.extend(if swaps { in_sessions } else { one_night });
        }
        if document.trip.is_some() {
            questions.push(Self::Trip);
        }
        if !document.devices.is_empty() && (document.trip.is_some() || document.shop.is_some()) {
            questions.push(Self::Pack);
        }
        questions
    }

    pub(crate) fn answer(self, setup: &Setup, limits: &Limits) -> Result<Answer, Error> {
        match self {
            Self::Plan => plan(setup, limits).and_then(|plan| plan_drawn(setup, &plan)),
            Self::Why => plan(setup, limits).map(|plan| plan_explained(setup, &plan)),
            Self::Rota => rota(setup, limits).and_then(|rota| rota_drawn(setup, &rota)),
            Self::Trip => trip_with(setup, &limits.options(SolveOptions::DEFAULT_BUDGET))
                .map(|trip| trip_told(setup, &trip)),
            Self::Pack => {
                let mut options = PackOptions::default();
                options.search = limits.options(PackOptions::DEFAULT_BUDGET);
                pack_with(setup, &options).map(|luggage| luggage_told(setup, &luggage))
            }
        }
    }
}

impl Answer {
    fn new(page: &Page, proven: bool, settled: bool, document: String) -> Self {
        let mut html = Vec::new();
        page.write_html(&mut html)
            .expect("a vector takes every byte");
        Self {
            headline: page.headline.clone(),
            good: page.good,
            proven,
            settled,
            html: String::from_utf8(html).expect("a page is text"),
            document,
        }
    }
}

fn plan(setup: &Setup, limits: &Limits) -> Result<Plan, Error> {
    let options = limits.in_full();
    match &limits.from {
        Some(from) => assign_from_with(setup, &Plan::from_json(from)?, &options),
        None => assign_with(setup, &options),
    }
}

fn rota(setup: &Setup, limits: &Limits) -> Result<Rota, Error> {
    let options = limits.in_full();
    match &limits.from {
        Some(from) => rota_from_with(setup, &Rota::from_json(from)?, &options),
        None => rota_with(setup, &options),
    }
}

fn plan_drawn(setup: &Setup, plan: &Plan) -> Result<Answer, Error> {
    let steps = TimelineOptions::for_drawing(plan.longest_h);
    let night = timeline_with(setup, plan, &steps)?;
    let page = Page::of_plan(setup, plan).with_night(setup, plan, &night);
    Ok(of_plan(&page, plan))
}

fn plan_explained(setup: &Setup, plan: &Plan) -> Answer {
    let page = Page::of_reasons(setup, plan).assuming(&setup.assumed());
    of_plan(&page, plan)
}

fn of_plan(page: &Page, plan: &Plan) -> Answer {
    let proven = plan.status == Status::Optimal;
    Answer::new(page, proven, proven && told(&plan.because), plan.to_json())
}

/// Whether the search for reasons came to its end.
fn told(because: &[Because]) -> bool {
    because.iter().all(|reason| reason.least)
}

fn rota_drawn(setup: &Setup, rota: &Rota) -> Result<Answer, Error> {
    let ends_h = rota.sessions.last().map_or(0.0, |last| last.end_h);
    let steps = TimelineOptions::for_drawing(ends_h);
    let night = rota_timeline_with(setup, rota, &steps)?;
    let page = Page::of_rota(setup, rota).with_rota_night(setup, rota, &night);
    let proven = rota.status == Status::Optimal;
    let settled = proven && told(&rota.because);
    Ok(Answer::new(&page, proven, settled, rota.to_json()))
}

fn trip_told(setup: &Setup, trip: &Trip) -> Answer {
    let page = Page::of_trip(setup, trip).assuming(&setup.assumed());
    let settled = is_settled(trip);
    Answer::new(&page, settled, settled, trip.to_json())
}

fn luggage_told(setup: &Setup, luggage: &Luggage) -> Answer {
    let page = Page::of_luggage(setup, luggage).assuming(&setup.assumed());
    let page = page.with_bag(setup, luggage);
    let proven = luggage.status == Status::Optimal;
    let settled = proven && luggage.unbeaten_complete;
    Answer::new(&page, proven, settled, luggage.to_json())
}

/// Whether no limit struck at any stop.
fn is_settled(trip: &Trip) -> bool {
    let proven = |plan: &Option<Plan>, rota: &Option<Rota>| {
        let plan = plan.as_ref().map(|plan| plan.status);
        let rota = rota.as_ref().map(|rota| rota.status);
        plan.or(rota).is_none_or(|status| status == Status::Optimal)
    };
    trip.stops.iter().all(|stop| {
        let mut nights = stop.calendar.iter();
        stop.sets_untried == 0
            && proven(&stop.plan, &stop.rota)
            && nights.all(|night| proven(&night.plan, &night.rota))
    })
}
