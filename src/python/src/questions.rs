//! The questions, one function each: what is asked in, the answer's JSON text out.

use std::time::Instant;

use pyo3::prelude::*;
use serde_json::{Value, json};
use wattberth::{
    Candidate, Error, PackBy, PackOptions, Plan, Proof, ProofFile, RankOptions, Result, Rota,
    Setup, Sharing, SolveOptions, TimelineOptions, Verification, Way, Wish,
};

use crate::ask::{Ask, Texts};
use crate::given::Given;
use crate::told::Progressed;
use crate::work::{Caller, answered};

/// The budget where none is given.
const BUDGET: u64 = SolveOptions::DEFAULT_BUDGET;

/// Answers a question about a setup alone.
fn about(
    ask: &Ask<'_>,
    texts: Texts,
    question: impl FnOnce(&Texts, &Setup, &SolveOptions) -> Result<String> + Send + 'static,
) -> PyResult<String> {
    answered(ask, texts, BUDGET, |texts, options, _| {
        question(texts, &texts.setup()?, options)
    })
}

/// Which plan a question is about, where it can be a rota, too.
enum Answer {
    Plan(Box<Plan>),
    Rota(Box<Rota>),
}

impl Answer {
    /// A plan document has no sessions.
    fn read(given: &Given) -> Result<Self> {
        let tree = serde_json::from_str::<Value>(&given.text);
        if tree.is_ok_and(|tree| !tree["sessions"].is_null()) {
            return Rota::from_source(given.source()).map(|rota| Self::Rota(Box::new(rota)));
        }
        Plan::from_source(given.source()).map(|plan| Self::Plan(Box::new(plan)))
    }

    /// The one that was given.
    fn given(texts: &Texts) -> Result<Self> {
        only(texts).and_then(Self::read)
    }

    /// One that keeps every rule of the setup.
    fn read_sound(setup: &Setup, given: &Given) -> Result<Self> {
        let answer = Self::read(given)?;
        let found = answer.verified(setup).violations;
        if found.is_empty() {
            return Ok(answer);
        }
        Err(Error::Input(given.source().locate(found)))
    }

    fn verified(&self, setup: &Setup) -> Verification {
        match self {
            Self::Plan(plan) => wattberth::verify(setup, plan),
            Self::Rota(rota) => wattberth::verify_rota(setup, rota),
        }
    }
}

fn only(texts: &Texts) -> Result<&Given> {
    texts.others().first().ok_or_else(|| Error::Options {
        message: "a document is needed beside the setup".to_owned(),
    })
}

/// What is refused of a plan's berths is in the plan's document.
fn in_plan(texts: &Texts, error: Error) -> Error {
    let Error::Input(mut faults) = error else {
        return error;
    };
    let of_berths = |path: &str| path.starts_with("berths");
    for fault in faults.iter_mut().filter(|fault| of_berths(&fault.path)) {
        if let Ok(given) = only(texts) {
            fault.file.clone_from(&given.file);
        }
    }
    Error::Input(faults)
}

#[pyfunction]
pub(crate) fn assign<'py>(
    ask: Ask<'py>,
    keep: Option<Bound<'py, PyAny>>,
    start: Option<Bound<'py, PyAny>>,
) -> PyResult<String> {
    let stays = keep.is_some();
    let name = if stays { "keep" } else { "start" };
    let texts = ask.texts_with(keep.or(start).as_ref(), name)?;
    about(&ask, texts, move |texts, setup, options| {
        let Some(given) = texts.others().first() else {
            return Ok(wattberth::assign_with(setup, options)?.to_json());
        };
        let known = Plan::from_source(given.source())?;
        let plan = if stays {
            wattberth::assign_near_with(setup, &known, options)
        } else {
            wattberth::assign_from_with(setup, &known, options)
        };
        Ok(plan.map_err(|error| in_plan(texts, error))?.to_json())
    })
}

#[pyfunction]
pub(crate) fn rota<'py>(ask: Ask<'py>, start: Option<Bound<'py, PyAny>>) -> PyResult<String> {
    let texts = ask.texts_with(start.as_ref(), "start")?;
    about(&ask, texts, move |texts, setup, options| {
        let Some(given) = texts.others().first() else {
            return Ok(wattberth::rota_with(setup, options)?.to_json());
        };
        let known = Rota::from_source(given.source())?;
        let rota = wattberth::rota_from_with(setup, &known, options);
        Ok(rota.map_err(|error| in_plan(texts, error))?.to_json())
    })
}

#[pyfunction]
pub(crate) fn score<'py>(ask: Ask<'py>, berths: Bound<'py, PyAny>) -> PyResult<String> {
    let texts = ask.texts_with(Some(&berths), "berths")?;
    about(&ask, texts, move |texts, setup, options| {
        let way = Way::from_source(setup, only(texts)?.source())?;
        Ok(wattberth::score_with(setup, &way, options)?.to_json())
    })
}

#[pyfunction]
pub(crate) fn improve(ask: Ask<'_>) -> PyResult<String> {
    about(&ask, ask.texts()?, |_, setup, options| {
        Ok(wattberth::improve_with(setup, options)?.to_json())
    })
}

#[pyfunction]
pub(crate) fn calendar(ask: Ask<'_>) -> PyResult<String> {
    about(&ask, ask.texts()?, |_, setup, options| {
        Ok(wattberth::calendar_with(setup, options)?.to_json())
    })
}

#[pyfunction]
pub(crate) fn trip(ask: Ask<'_>) -> PyResult<String> {
    about(&ask, ask.texts()?, |_, setup, options| {
        Ok(wattberth::trip_with(setup, options)?.to_json())
    })
}

#[pyfunction]
pub(crate) fn wish(ask: Ask<'_>, wish: String) -> PyResult<String> {
    about(&ask, ask.texts()?, move |_, setup, options| {
        let wish = Wish::parse(&wish, setup)?;
        Ok(wattberth::wish_with(setup, &wish, options)?.to_json())
    })
}

#[pyfunction]
pub(crate) fn guest<'py>(
    ask: Ask<'py>,
    plan: Bound<'py, PyAny>,
    device: Option<String>,
) -> PyResult<String> {
    let texts = ask.texts_with(Some(&plan), "plan")?;
    about(&ask, texts, move |texts, setup, options| {
        let plan = Plan::from_source(only(texts)?.source())?;
        let found = wattberth::guest_with(setup, &plan, device.as_deref(), options);
        Ok(found.map_err(|error| in_plan(texts, error))?.to_json())
    })
}

#[pyfunction]
pub(crate) fn size(ask: Ask<'_>, by_h: Option<f64>) -> PyResult<String> {
    let texts = ask.texts()?;
    answered(&ask, texts, BUDGET, move |texts, options, _| {
        Ok(wattberth::size_with(&texts.bag()?, by_h, options)?.to_json())
    })
}

/// The options of a ranking, as the package's own `Wanted` has them.
#[derive(FromPyObject)]
pub(crate) struct Wanted {
    up_to: usize,
    by: String,
    top: Option<usize>,
    unbeaten: bool,
    times: Vec<String>,
    plans: usize,
    threads: Option<usize>,
}

impl Wanted {
    fn options(&self, search: &SolveOptions) -> RankOptions {
        let mut options = RankOptions::default();
        options.search = search.clone();
        options.up_to = self.up_to;
        options.threads = self.threads;
        options.by = self.by.as_str().into();
        options.top = if self.unbeaten { Some(0) } else { self.top };
        options.times = self.times.iter().map(|of| of.as_str().into()).collect();
        options.plans = self.plans;
        options
    }
}

#[pyfunction]
pub(crate) fn rank<'py>(
    ask: Ask<'py>,
    candidates: Bound<'py, PyAny>,
    wanted: Wanted,
) -> PyResult<String> {
    let texts = ask.texts_and(|reading| reading.several(Some(&candidates), "candidate"))?;
    answered(
        &ask,
        texts,
        RankOptions::DEFAULT_BUDGET,
        move |texts, search, caller| {
            let bag = texts.bag();
            let (bag, candidates) = joined(bag, candidates_of(texts.others()))?;
            let interrupt = search.interrupt.clone();
            let told = |progress| {
                let flow = caller.tell(Progressed::Kits(progress));
                if let (true, Some(interrupt)) = (flow.is_break(), &interrupt) {
                    interrupt.store(true, std::sync::atomic::Ordering::Relaxed);
                }
            };
            let mut search = search.clone();
            // Of a ranking it is told kit by kit, not how each plan comes along.
            search.progress = None;
            let mut ranking =
                wattberth::rank_with(&bag, &candidates, &wanted.options(&search), told)?;
            ranking.ranked.truncate(wanted.top.unwrap_or(usize::MAX));
            Ok(ranking.to_json())
        },
    )
}

/// The candidates of all texts, or the faults of all of them.
fn candidates_of(texts: &[Given]) -> Result<Vec<Candidate>> {
    let mut all = Ok(Vec::new());
    for given in texts {
        let more = Candidate::from_source(given.source());
        all = joined(all, more).map(|(mut all, more)| {
            all.extend(more);
            all
        });
    }
    all
}

/// Both, or the faults of both.
fn joined<A, B>(one: Result<A>, other: Result<B>) -> Result<(A, B)> {
    match (one, other) {
        (Ok(one), Ok(other)) => Ok((one, other)),
        (Err(Error::Input(mut faults)), Err(Error::Input(more))) => {
            faults.extend(more);
            Err(Error::Input(faults))
        }
        (Err(error), _) | (_, Err(error)) => Err(error),
    }
}

#[pyfunction]
pub(crate) fn pack(ask: Ask<'_>, by: &str, alone: bool) -> PyResult<String> {
    let texts = ask.texts()?;
    let by: PackBy = ask.word("by", by)?;
    answered(
        &ask,
        texts,
        PackOptions::DEFAULT_BUDGET,
        move |texts, search, _| {
            let mut options = PackOptions::default();
            options.search = search.clone();
            options.by = by;
            options.unbeaten = !alone;
            options.costs = !alone;
            Ok(wattberth::pack_with(&texts.setup()?, &options)?.to_json())
        },
    )
}

/// Of a timeline, what is to be told.
#[derive(FromPyObject)]
pub(crate) struct Night {
    reshared: bool,
    rules: bool,
    step_min: Option<f64>,
}

#[pyfunction]
pub(crate) fn timeline<'py>(
    ask: Ask<'py>,
    plan: Option<Bound<'py, PyAny>>,
    night: Night,
) -> PyResult<String> {
    let texts = ask.texts_with(plan.as_ref(), "plan")?;
    let started = Instant::now();
    about(&ask, texts, move |texts, setup, search| {
        let answer = match texts.others().first() {
            None => Answer::Plan(Box::new(wattberth::assign_with(setup, search)?)),
            Some(given) => Answer::read_sound(setup, given)?,
        };
        let mut options = TimelineOptions::default();
        options.search.interrupt.clone_from(&search.interrupt);
        options.search.time_limit = search
            .time_limit
            .map(|limit| limit.saturating_sub(started.elapsed()));
        options.step_min = night.step_min;
        if night.reshared {
            options.sharing = Sharing::Reshared;
        }
        night_of(&answer, setup, &options, night.rules)
    })
}

fn night_of(
    answer: &Answer,
    setup: &Setup,
    options: &TimelineOptions,
    rules: bool,
) -> Result<String> {
    let mut night = match answer {
        Answer::Plan(plan) => wattberth::timeline_with(setup, plan, options)?,
        Answer::Rota(rota) => wattberth::rota_timeline_with(setup, rota, options)?,
    };
    if night.reshared_h.is_none() {
        let reshared = match answer {
            Answer::Plan(plan) => wattberth::reshared_with(setup, plan, options)?,
            Answer::Rota(rota) => wattberth::rota_reshared_with(setup, rota, options)?,
        };
        night.reshared_h = Some(reshared.last_h);
        night.reshared_status = Some(reshared.status);
    }
    if rules {
        let Answer::Plan(plan) = answer else {
            return Err(Error::Options {
                message: "`rules` is told of a plan, and this document is a rota".to_owned(),
            });
        };
        night.rules = Some(wattberth::sharing_rules_with(setup, plan, options)?);
    }
    Ok(night.to_json())
}

/// The files of a proof, by name.
type Files = Vec<(String, String)>;

#[pyfunction]
pub(crate) fn verify<'py>(
    ask: Ask<'py>,
    plan: Bound<'py, PyAny>,
    proof: Option<Files>,
) -> PyResult<String> {
    let texts = ask.texts_with(Some(&plan), "plan")?;
    about(&ask, texts, move |texts, setup, _| {
        let answer = Answer::given(texts)?;
        let Some(files) = proof else {
            return Ok(outcome(&answer.verified(setup)));
        };
        let files = files
            .into_iter()
            .map(|(name, text)| ProofFile::new(name, text));
        let proof = Proof::of_files(files)?;
        Ok(outcome(&match &answer {
            Answer::Plan(plan) => wattberth::verify_with_proof(setup, plan, &proof),
            Answer::Rota(rota) => wattberth::verify_rota_with_proof(setup, rota, &proof),
        }))
    })
}

fn outcome(found: &Verification) -> String {
    let violations = found.violations.iter();
    let violations: Vec<_> = violations
        .map(|one| json!({"path": one.path, "message": one.message}))
        .collect();
    let not_checked: Vec<_> = found.not_checked.iter().map(|what| what.word()).collect();
    json!({"ok": found.is_ok(), "violations": violations, "not_checked": not_checked}).to_string()
}

#[pyfunction]
pub(crate) fn prove<'py>(ask: Ask<'py>, plan: Bound<'py, PyAny>, whole: bool) -> PyResult<Files> {
    let texts = ask.texts_with(Some(&plan), "plan")?;
    answered(&ask, texts, BUDGET, move |texts, options, _: &Caller| {
        let setup = texts.setup()?;
        let proof = match (Answer::given(texts)?, whole) {
            (Answer::Plan(plan), false) => wattberth::prove_with(&setup, &plan, options),
            (Answer::Plan(plan), true) => wattberth::prove_whole_with(&setup, &plan, options),
            (Answer::Rota(rota), false) => wattberth::prove_rota_with(&setup, &rota, options),
            (Answer::Rota(rota), true) => wattberth::prove_whole_rota_with(&setup, &rota, options),
        }?;
        let files = proof.files().iter();
        Ok(files
            .map(|file| (file.name.clone(), file.text.clone()))
            .collect())
    })
}

#[pyfunction]
pub(crate) fn check(ask: Ask<'_>, bag: bool) -> PyResult<()> {
    let texts = ask.texts()?;
    answered(&ask, texts, BUDGET, move |texts, _, _| {
        if bag {
            return texts.bag().map(|_| ());
        }
        texts.setup()?.check_ways()
    })
}

#[pyfunction]
pub(crate) fn read(ask: Ask<'_>) -> PyResult<String> {
    about(&ask, ask.texts()?, |_, setup, _| {
        Ok(setup.document().to_json())
    })
}

#[pyfunction]
pub(crate) fn to_list(ask: Ask<'_>) -> PyResult<Option<String>> {
    let texts = ask.texts()?;
    answered(&ask, texts, BUDGET, move |texts, _, _| {
        Ok(texts.setup()?.to_list())
    })
}
