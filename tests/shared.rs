//! What may be handed from thread to thread, held across a point where work is put aside, copied
//! and shown: all that the library gives and takes.

use std::fmt::Debug;
use std::io::Cursor;

use wattberth::{
    About, Adapter, AdapterNeed, Aim, Alike, Appliance, Assumed, AssumedValue, Bag, BagWorth,
    BatchAnswer, BatchLine, BatchOptions, Battery, BatteryKind, Because, Behind, Berth,
    BindingLimit, BoundedLevel, Broken, BrokenRule, Cable, Calendar, CalendarDevice, CalendarNight,
    Candidate, Change, ChargeWith, Charger, Combination, Connector, Converter, DependsOn, Device,
    DeviceTime, Energy, Error, Event, EventContract, Fault, Faults, Finding, Freedom, Granted,
    Grants, Guest, GuestCost, GuestPlace, GuestPlan, GuestTimes, Happening, Improvement,
    Improvements, KitPlan, Label, Later, Lead, LeftOutKit, Level, LevelBound, LimitKind, LimitedBy,
    Load, Luggage, Missing, Move, NotChecked, Objective, ObjectiveValue, OnKitPlan, OnProgress,
    OtherSort, PackBy, PackOptions, Packing, PackingCosts, PackingKind, PackingList, Piece, Place,
    Plan, Plug, PlugAdvice, PlugOrder, PlugPlace, Pool, PoolPorts, PoolUse, Port, Program,
    Progress, Proof, ProofFile, RankBy, RankOptions, RankProgress, Ranked, Ranking, Reached,
    Reason, Reserve, Reshared, Rota, RotaBerth, RotaPoolUse, RotaSession, RuleBerth, RuleNight,
    RuleNights, RuleOutcome, Score, ScoredBerth, ScoredContract, Series, Session, Settling, Setup,
    SetupCounts, SetupDocument, Sharing, SharingRule, SharingRules, Shop, Shortfall, SizedPort,
    Sizing, SocketWay, SocketWays, SolveOptions, Source, Span, Status, Stop, ThingCost, Timeline,
    TimelineOptions, TimesOf, TooLate, Tradeoff, Trip, TripCaution, TripDocument, TripNight,
    TripStop, UnknownWord, Verdict, Verification, Violation, Voltages, Wall, Way, Wish, Wished,
    Wishes, WithoutBerth,
};

fn is_free<T: Send + Sync + Unpin + Debug + Clone>() {}

/// Every public type, each once.
macro_rules! all_free {
    ($($of:ty),* $(,)?) => {{
        $(is_free::<$of>();)*
        [$(stringify!($of)),*]
    }};
}

/// The compiler holds the rest: a type that is not free does not build.
#[allow(clippy::too_many_lines, reason = "one line for each type")]
#[test]
fn every_public_type_may_go_to_another_thread() {
    let root = all_free![
        About,
        Adapter,
        AdapterNeed,
        Aim,
        Alike,
        Appliance,
        Assumed,
        AssumedValue,
        Bag,
        BagWorth,
        BatchAnswer,
        BatchLine,
        BatchOptions,
        Battery,
        BatteryKind,
        Because,
        Behind,
        Berth,
        BindingLimit,
        BoundedLevel,
        Broken,
        BrokenRule,
        Cable,
        Calendar,
        CalendarDevice,
        CalendarNight,
        Candidate,
        Change,
        ChargeWith,
        Charger,
        Combination,
        Connector,
        Converter,
        DependsOn,
        Device,
        DeviceTime,
        Energy,
        Error,
        Event,
        EventContract,
        Fault,
        Faults,
        Finding,
        Freedom,
        Granted,
        Grants,
        Guest,
        GuestCost,
        GuestPlace,
        GuestPlan,
        GuestTimes,
        Happening,
        Improvement,
        Improvements,
        KitPlan<'static>,
        Label,
        Later,
        Lead,
        LeftOutKit,
        Level,
        LevelBound,
        LimitKind,
        LimitedBy,
        Load,
        Luggage,
        Missing,
        Move,
        NotChecked,
        Objective,
        ObjectiveValue,
        OnKitPlan,
        OnProgress,
        OtherSort,
        PackBy,
        PackOptions,
        Packing,
        PackingCosts,
        PackingKind,
        PackingList,
        Piece,
        Place,
        Plan,
        Plug,
        PlugAdvice,
        PlugOrder,
        PlugPlace,
        Pool,
        PoolPorts,
        PoolUse,
        Port,
        Program,
        Progress,
        Proof,
        ProofFile,
        RankBy,
        RankOptions,
        RankProgress,
        Ranked,
        Ranking,
        Reached,
        Reason,
        Reserve,
        Reshared,
        Rota,
        RotaBerth,
        RotaPoolUse,
        RotaSession,
        RuleBerth,
        RuleNight,
        RuleNights,
        RuleOutcome,
        Score,
        ScoredBerth,
        ScoredContract,
        Series,
        Session,
        Settling,
        Setup,
        SetupCounts,
        SetupDocument,
        Sharing,
        SharingRule,
        SharingRules,
        Shop,
        Shortfall,
        SizedPort,
        Sizing,
        SocketWay,
        SocketWays,
        SolveOptions,
        Source<'static>,
        Span,
        Status,
        Stop,
        ThingCost,
        Timeline,
        TimelineOptions,
        TimesOf,
        TooLate,
        Tradeoff,
        Trip,
        TripCaution,
        TripDocument,
        TripNight,
        TripStop,
        UnknownWord,
        Verdict,
        Verification,
        Violation,
        Voltages,
        Wall,
        Way,
        Wish,
        Wished,
        Wishes,
        WithoutBerth,
    ];
    let reports = all_free![
        wattberth::report::Block,
        wattberth::report::Cells,
        wattberth::report::Column,
        wattberth::report::Line,
        wattberth::report::Page,
        wattberth::report::Row,
        wattberth::report::Section,
        wattberth::report::Shown,
        wattberth::report::Table,
        wattberth::report::Tone,
    ];
    let facts = all_free![
        wattberth::facts::AirClass,
        wattberth::facts::AirFinding,
        wattberth::facts::AirReason,
        wattberth::facts::AirRule,
        wattberth::facts::AirVerdict,
        wattberth::facts::Bare,
        wattberth::facts::Battery,
        wattberth::facts::BatteryKind,
        wattberth::facts::Caution,
        wattberth::facts::Confidence,
        wattberth::facts::Counted,
        wattberth::facts::CurrentCheck,
        wattberth::facts::Date,
        wattberth::facts::Earth,
        wattberth::facts::EarthPin,
        wattberth::facts::Energy,
        wattberth::facts::EnergyFault,
        wattberth::facts::Face,
        wattberth::facts::Fit,
        wattberth::facts::Fits,
        wattberth::facts::Held,
        wattberth::facts::Kind,
        wattberth::facts::Local,
        wattberth::facts::LocalNote,
        wattberth::facts::Mains,
        wattberth::facts::MainsLabel,
        wattberth::facts::MainsLabelFault,
        wattberth::facts::MetalClass,
        wattberth::facts::Missing,
        wattberth::facts::NameSays,
        wattberth::facts::NamedPlug,
        wattberth::facts::NationalRule,
        wattberth::facts::Part,
        wattberth::facts::Pin,
        wattberth::facts::PinRole,
        wattberth::facts::PinShape,
        wattberth::facts::Place,
        wattberth::facts::Plug,
        wattberth::facts::PlugFacts,
        wattberth::facts::PlugNameFault,
        wattberth::facts::Rated,
        wattberth::facts::Rating,
        wattberth::facts::Socket,
        wattberth::facts::SocketFit,
        wattberth::facts::Source,
        wattberth::facts::Suits,
        wattberth::facts::SuitsAt,
        wattberth::facts::Verdict,
        wattberth::facts::When,
    ];
    let listed: Vec<&str> = root.into_iter().chain(reports).chain(facts).collect();
    for (text, place) in [
        (include_str!("../src/lib.rs"), ""),
        (include_str!("../src/report.rs"), "wattberth::report::"),
        (include_str!("../src/facts.rs"), "wattberth::facts::"),
    ] {
        for name in handed_out(text) {
            let path = format!("{place}{name}");
            let is_it = |of: &&str| of.split('<').next() == Some(&path);
            assert!(listed.iter().any(is_it), "{path} is not listed");
        }
    }
}

/// The types in the `pub use` lines of a file, as far as they are there without the command line.
fn handed_out(text: &str) -> Vec<&str> {
    let mut names = Vec::new();
    for (before, line) in text.split("pub use ").zip(text.split("pub use ").skip(1)) {
        if before.trim_end().ends_with("#[cfg(feature = \"cli\")]") {
            continue;
        }
        let line = line.split(';').next().unwrap_or_default();
        let words = line.split(|c: char| !(c.is_alphanumeric() || c == '_'));
        let is_type =
            |word: &&str| word.starts_with(char::is_uppercase) && word.contains(char::is_lowercase);
        names.extend(words.filter(is_type).filter(|word| *word != "Result"));
    }
    assert!(names.len() > 9, "the file hands out types");
    names
}

#[test]
fn what_gives_one_thing_after_the_other_may_go_to_another_thread() {
    fn is_sent<T: Send>(of: T) -> T {
        of
    }
    let text = Cursor::new("{}\n{}\n");
    let lines = is_sent(wattberth::lines(text)).map(|line| line.expect("bytes"));
    let mut options = BatchOptions::default();
    for threads in [1, 2] {
        options.threads = Some(threads);
        let lines: Vec<Vec<u8>> = wattberth::lines(Cursor::new("{}\n{}\n"))
            .map(|line| line.expect("bytes"))
            .collect();
        let answers = wattberth::batch(lines.into_iter(), &options);
        let answers = is_sent(answers.expect("the options are in range"));
        let count = std::thread::spawn(move || answers.count());
        assert_eq!(count.join().expect("no panic"), 2);
    }
    assert_eq!(lines.count(), 2);
    let setup = SetupDocument::new()
        .charger(Charger::new("cube").port(Port::pd("C1", 45.0)))
        .device(Device::new("phone", 15.0).pd_w(18.0))
        .check()
        .expect("a valid setup");
    assert_eq!(is_sent(setup.device_names()).count(), 1);
    assert_eq!(is_sent(setup.charger_names()).count(), 1);
}
