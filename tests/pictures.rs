//! Pictures are well-formed whatever names they show, ask for nothing, and say all that
//! the answers say.

#[path = "common/random_setup.rs"]
#[allow(dead_code, reason = "shared with the oracle, the laws and the benches")]
mod random_setup;

use roxmltree::{Document, ParsingOptions};
use wattberth::report::Page;
use wattberth::{
    Bag, Candidate, RankOptions, Setup, SolveOptions, Source, TimelineOptions, assign, calendar,
    pack, rank_with, rota_timeline_with, rota_with, size, timeline_with,
};

const QUARTET: &str = include_str!("../fixtures/quartet.json");
const EIGHT: &str = include_str!("../fixtures/quartet-eight.json");
const BAG: &str = include_str!("../fixtures/quartet-bag.json");
const CANDIDATES: &str = include_str!("../fixtures/candidates.ndjson");

fn night_of(text: &str) -> Page {
    let setup = Setup::from_json(text).expect("it is valid");
    let plan = assign(&setup).expect("it has a plan");
    let timeline =
        timeline_with(&setup, &plan, &TimelineOptions::default()).expect("it has a night");
    Page::of_plan(&setup, &plan).with_night(&setup, &plan, &timeline)
}

fn size_of(text: &str) -> Page {
    let bag = Bag::from_json(text).expect("it is valid");
    let sizing = size(&bag, None).expect("it has a size");
    Page::of_sizing(&bag, &sizing).with_ports(&bag, &sizing)
}

fn ranking_of(bag: &str, candidates: &str) -> Page {
    let bag = Bag::from_json(bag).expect("it is valid");
    let source = Source {
        file: "",
        text: candidates,
    };
    let candidates = Candidate::from_source(source).expect("they are valid");
    let ranked = rank_with(&bag, &candidates, &RankOptions::default(), |_| ()).expect("it ends");
    Page::of_ranking(&ranked, 20).with_kits(&ranked)
}

/// Two stops and a small shop, with one name in every place.
fn tour_called(name: &str) -> String {
    let called = |more: &str| {
        let shown: String = name.chars().take(190).collect();
        format!("{more}{shown}")
    };
    serde_json::json!({
        "name": name,
        "session_h": 8,
        "devices": [
            {"name": called("1 "), "pd_w": 65, "battery_wh": 56},
            {"name": called("2 "), "pd_w": 30, "battery_wh": 28},
            {"name": called("3 "), "pd_w": 5, "battery_wh": 4, "every_nights": 2}
        ],
        "trip": {"stops": [
            {"name": called("4 "), "country": "AT", "nights": 2},
            {"name": called("5 "), "country": "GB", "nights": 2}
        ]},
        "shop": {
            "chargers": [
                {"name": called("6 "), "weight_g": 240, "price": 65, "plug": "C",
                 "input_v": "100-240V", "input_hz": "50/60Hz", "max_w": 100, "ports": [
                    {"name": "C1", "pd_w": 100}, {"name": "C2", "pd_w": 30},
                    {"name": "C3", "pd_w": 15}
                 ]},
                {"name": called("7 "), "weight_g": 60, "price": 45, "plug": "C",
                 "input_v": "100-240V", "input_hz": "50/60Hz", "max_w": 65, "ports": [
                    {"name": "C1", "pd_w": 65}, {"name": "C2", "pd_w": 30}
                 ]}
            ],
            "cables": [{"name": called("8 "), "watts": 100, "weight_g": 30, "price": 6}],
            "adapters": [{"name": called("9 "), "takes": ["C"], "makes": ["G"], "fuse_a": 3,
                          "max_a": 3, "weight_g": 30, "price": 5}]
        }
    })
    .to_string()
}

fn bag_of(text: &str) -> [Page; 2] {
    let setup = Setup::from_text(text).unwrap_or_else(|error| panic!("{error}"));
    let luggage = pack(&setup).expect("it has a bag");
    let page = Page::of_luggage(&setup, &luggage).with_bag(&setup, &luggage);
    [page, Page::of_bag_alone(&setup, &luggage)]
}

fn nights_of(text: &str) -> Page {
    let setup = Setup::from_text(text).expect("it is valid");
    Page::of_calendar(&setup, &calendar(&setup).expect("it has one"))
}

fn svg(picture: &Page) -> String {
    let mut bytes = Vec::new();
    picture.write_svg(&mut bytes).expect("a vector takes all");
    String::from_utf8(bytes).expect("it is text")
}

fn html(picture: &Page) -> String {
    let mut bytes = Vec::new();
    picture.write_html(&mut bytes).expect("a vector takes all");
    String::from_utf8(bytes).expect("it is text")
}

/// The drawings of a page; every one must be XML by itself.
fn drawings(page: &str) -> Vec<&str> {
    let starts = page.match_indices("<svg").map(|(at, _)| at);
    starts
        .map(|at| {
            let length = page[at..].find("</svg>").expect("it ends") + "</svg>".len();
            &page[at..at + length]
        })
        .collect()
}

/// Parses it, and holds it to what every drawing keeps: known elements only, names that
/// are there once and references that meet one, numbers that are numbers.
fn checked(text: &str) -> Document<'_> {
    const ELEMENTS: [&str; 12] = [
        "svg", "title", "desc", "style", "defs", "pattern", "g", "rect", "path", "circle", "text",
        "polyline",
    ];
    let document = Document::parse_with_options(text, ParsingOptions::default());
    let document = document.unwrap_or_else(|error| panic!("{error}\n{text}"));
    let mut ids = Vec::new();
    for node in document.descendants().filter(roxmltree::Node::is_element) {
        let name = node.tag_name().name();
        assert!(ELEMENTS.contains(&name), "an element {name}");
        ids.extend(node.attribute("id"));
        for attribute in node.attributes() {
            let value = attribute.value();
            let wrong = ["NaN", "inf", "http:", "https:"];
            let namespace = value == "http://www.w3.org/2000/svg";
            let plain = namespace || wrong.iter().all(|wrong| !value.contains(wrong));
            assert!(plain, "{}: {value}", attribute.name());
            assert!(!attribute.name().starts_with("on"), "{}", attribute.name());
        }
    }
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "a name twice: {ids:?}");
    for fill in document
        .descendants()
        .filter_map(|node| node.attribute("fill"))
    {
        if let Some(id) = fill
            .strip_prefix("url(#")
            .and_then(|rest| rest.strip_suffix(')'))
        {
            assert!(ids.contains(&id), "{id} is not there");
        }
    }
    document
}

/// All that is said in a drawing: texts, titles and descriptions.
fn said(text: &str) -> String {
    let document = checked(text);
    let words = document
        .descendants()
        .filter(roxmltree::Node::is_text)
        .map(|node| node.text());
    words.flatten().collect::<Vec<_>>().join("\n")
}

fn hostile_names() -> Vec<String> {
    vec![
        "<script>alert('x')</script>".to_owned(),
        "]]>--><!-- &amp; \"quoted\" 'name'".to_owned(),
        "url(#look0) </svg></style>".to_owned(),
        "הטאבלט של הוויולה".to_owned(),
        "🎻🎻👩‍🚀 violin".to_owned(),
        "譜面用タブレット".to_owned(),
        "x".repeat(200),
        "very ".repeat(39) + "long",
        "mirror\u{202e}gnp.exe \u{ffff}".to_owned(),
        "a\u{301}\u{301}\u{301}".repeat(20),
    ]
}

#[test]
fn hostile_names_stay_text() {
    for name in hostile_names() {
        let mut setup: serde_json::Value = serde_json::from_str(QUARTET).expect("it is JSON");
        for at in [
            "/name",
            "/chargers/0/name",
            "/chargers/0/pools/0/name",
            "/chargers/1/ports/2/name",
            "/cables/0/name",
            "/devices/2/name",
        ] {
            *setup.pointer_mut(at).expect("it is there") = name.as_str().into();
        }
        // The table names its ports.
        let table = setup["chargers"][1]["combinations"]
            .as_array_mut()
            .expect("a list");
        for line in table {
            let line = line.as_object_mut().expect("an object");
            if let Some(watts) = line.remove("C3") {
                line.insert(name.clone(), watts);
            }
        }
        let text = setup.to_string();
        let candidate = setup["chargers"][0].to_string();
        let shown = wattberth::report::printable(&name);
        for picture in [
            night_of(&text),
            size_of(&text),
            ranking_of(&text, &candidate),
        ] {
            assert!(said(&svg(&picture)).contains(&shown), "{name}");
            let page = html(&picture);
            for drawing in drawings(&page) {
                checked(drawing);
            }
            assert!(!page.contains("<script"), "{name}");
            assert_eq!(page.matches("</style>").count(), 1, "{name}");
            assert!(!page.contains(['\u{202e}', '\u{ffff}']));
        }
    }
}

#[test]
fn bags_of_hostile_names_stay_text() {
    for name in hostile_names() {
        let [page, alone] = bag_of(&tour_called(&name));
        let drawn = said(&svg(&alone));
        let shown = wattberth::report::printable(&name);
        let first: String = shown.chars().take(20).collect();
        assert!(drawn.contains(&first), "{name}: {drawn}");
        let page = html(&page);
        for drawing in drawings(&page) {
            checked(drawing);
        }
        assert!(!page.contains("<script"), "{name}");
        assert_eq!(page.matches("</style>").count(), 1, "{name}");
        assert!(!page.contains(['\u{202e}', '\u{ffff}']));
    }
}

#[test]
fn a_bag_is_drawn_with_its_nights_and_what_nothing_beats() {
    let text = tour_called("x");
    let [page, alone] = bag_of(&text);
    let page = html(&page);
    let drawn: Vec<String> = drawings(&page).into_iter().map(said).collect();
    let with = |words: &str| drawn.iter().filter(|said| said.contains(words)).count();
    // Each for a phone and for a desk: the bag, and both nights.
    assert_eq!(with("Buy: "), 2, "{drawn:?}");
    assert_eq!(with("1 x on C1 through 8 x, full after "), 4, "{drawn:?}");
    assert!(page.contains("<details><summary><bdi>4 x, 5 x, nights 1, 3: who sits where"));
    let alone = said(&svg(&alone));
    assert!(
        alone.contains("Buy") && !alone.contains(" on C1 through "),
        "{alone}"
    );
    assert_eq!(
        svg(&bag_of(&text)[1]),
        svg(&bag_of(&text)[1]),
        "the same twice"
    );
}

#[test]
fn a_calendar_is_drawn_night_by_night() {
    let list = "night 23:00 to 7:00\ncharger pair: C1 45 W; C2 20 W\ncable C to C, 1 m, x2\n\
        score tablet\nmetronome: 5 W, 4 Wh, every 2 nights\ne-reader, every 2 nights\n";
    let page = html(&nights_of(list));
    let drawn: Vec<String> = drawings(&page).into_iter().map(said).collect();
    assert_eq!(drawn.len(), 4, "two nights");
    assert!(
        drawn
            .iter()
            .all(|said| said.contains("score tablet on C1 through"))
    );
    assert!(
        drawn
            .iter()
            .any(|said| said.contains("metronome on C2 through"))
    );
}

#[test]
fn every_device_is_named_with_its_place() {
    let setup = Setup::from_json(QUARTET).expect("it is valid");
    let plan = assign(&setup).expect("it has a plan");
    let picture = night_of(QUARTET);
    let page = html(&picture);
    let drawn: Vec<String> = drawings(&page).into_iter().map(said).collect();
    // Two chargers, each for a phone and for a desk.
    assert_eq!(drawn.len(), 4);
    let alone = said(&svg(&picture));
    for berth in &plan.berths {
        let place = format!("{} on {} through {}", berth.device, berth.port, berth.cable);
        let with = drawn.iter().filter(|words| words.contains(&place));
        assert_eq!(with.count(), 2, "{place}");
        assert!(alone.contains(&place), "{place}");
    }
    assert!(alone.contains("total: at most 180 W"), "{alone}");
    assert!(page.len() < 200_000, "{} bytes", page.len());
}

#[test]
fn a_rota_is_drawn_with_its_sessions() {
    let mut setup: serde_json::Value = serde_json::from_str(EIGHT).expect("it is JSON");
    setup["start"] = "20:00".into();
    setup["sessions"] = serde_json::json!([
        {"name": "evening", "hours": 2}, {"name": "<night>", "hours": 3}
    ]);
    setup
        .as_object_mut()
        .expect("an object")
        .remove("session_h");
    let setup = Setup::from_json(&setup.to_string()).expect("it is valid");
    let best = rota_with(&setup, &SolveOptions::default()).expect("it has a rota");
    let timeline = rota_timeline_with(&setup, &best, &TimelineOptions::default());
    let timeline = timeline.expect("it has a night");
    let picture = Page::of_rota(&setup, &best).with_rota_night(&setup, &best, &timeline);
    let page = html(&picture);
    let drawn: Vec<String> = drawings(&page).into_iter().map(said).collect();
    let alone = said(&svg(&picture));
    assert_eq!((drawn.len(), best.berths.len()), (2, 12));
    for of in &best.berths {
        let place = format!("{} on {} through", of.berth.device, of.berth.port);
        assert!(drawn.iter().all(|words| words.contains(&place)), "{place}");
        assert!(alone.contains(&place), "{place}");
    }
    for words in drawn {
        assert!(
            words.contains("evening") && words.contains("<night>"),
            "{words}"
        );
        assert!(words.contains("full at 2"), "{words}");
    }
    assert!(page.contains("22:00") && page.contains("Take out: "));
}

#[test]
fn a_page_asks_for_nothing() {
    for picture in [night_of(QUARTET), size_of(BAG), ranking_of(BAG, CANDIDATES)] {
        let page = html(&picture);
        for way_out in [
            "src=",
            "url(http",
            "@import",
            "<script",
            "javascript:",
            "<iframe",
        ] {
            assert!(!page.contains(way_out), "{way_out}");
        }
        assert!(page.contains("default-src 'none'"));
        // The one link is the icon, which is empty.
        let links: Vec<_> = page.match_indices("href=").collect();
        assert_eq!(links.len(), 1);
        assert!(page.contains(r#"href="data:,""#));
    }
}

#[test]
fn random_nights_are_well_formed_and_the_same_twice() {
    let mut drawn = 0;
    for seed in 0..150 {
        let text = random_setup::small_setup(seed);
        let picture = night_of(&text);
        let first = svg(&picture);
        assert_eq!(first, svg(&night_of(&text)), "seed {seed}");
        drawn += usize::from(said(&first).contains("state of charge"));
        for drawing in drawings(&html(&picture)) {
            checked(drawing);
        }
    }
    assert!(drawn > 75, "only {drawn} nights have something to draw");
}

#[test]
fn what_leaves_nothing_to_draw_is_still_a_page() {
    let nobody = r#"{"chargers": [{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]}],
        "devices": [{"name": "phone", "inlet": "usb-micro-b", "pd_w": 18, "battery_wh": 15}]}"#;
    let picture = night_of(nobody);
    assert!(html(&picture).contains("no cable"), "the reason is said");
    let ranked = ranking_of(
        nobody,
        r#"{"name": "cube", "ports": [{"name": "C1", "pd_w": 30}]}"#,
    );
    for picture in [picture, size_of(nobody), ranked] {
        checked(&svg(&picture));
        assert!(drawings(&html(&picture)).is_empty());
    }
}
