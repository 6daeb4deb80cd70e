//! Pages of small bags: the text as it is read, and names that nobody would choose.

use std::sync::OnceLock;

use crate::report::{Page, Palette};
use crate::setup::Setup;
use crate::trip::shopping::{Luggage, pack};

const TOUR: &str = "name: Two concerts
night 23:00 to 7:00
laptop: 65 W, 56 Wh, 20 % left, priority 1
score tablet, 30 % left
metronome: 5 W, 4 Wh, every 2 nights
garment steamer: 850 W, 220-240 V, plug EF
cable C to C, 60 W, 1 m, 22 g
stop Vienna: Austria, 2 nights
stop Leeds: GB, 2 nights, 2 outlets

shop
charger trio: C1 65 W; C2 65 W; A1 12 W; C1+C2: 45 W + 20 W; C1+C2+A1: 40 W + 13 W + 12 W; \
    total 65 W; 128 g; price 39; plug C; 100-240 V; 50/60 Hz
charger desk: C1 100 W; C2 100 W; A1 12 W; C1+C2: 65 W + 30 W; C1+C2+A1: 45 W + 30 W + 12 W; \
    total 100 W; 240 g; price 65; plug EF; 100-240 V; 50/60 Hz
cable C to C, 100 W, 1 m, 32 g, price 9
cable A to C, 1 m, 22 g, price 5
adapter EF to G, 10 A, fuse 13 A, earthed, 45 g, price 7
adapter C to G, 3 A, fuse 3 A, 30 g, price 5
adapter world cube: takes A, B, C, EF, G, I; makes A, C, G, I; 10 A; fuse 10 A; C1 65 W; C2 30 W; \
    A1 12 W; C1+C2: 45 W + 20 W; C1+C2+A1: 30 W + 18 W + 12 W; total 65 W; 100-240 V; 50/60 Hz; \
    240 g; price 59
";

fn bag() -> &'static (Setup, Luggage) {
    static BAG: OnceLock<(Setup, Luggage)> = OnceLock::new();
    BAG.get_or_init(|| {
        let setup = Setup::from_text(TOUR).expect("it is valid");
        let luggage = pack(&setup).expect("there is a bag");
        (setup, luggage)
    })
}

fn text(setup: &Setup, luggage: &Luggage) -> String {
    let mut bytes = Vec::new();
    let page = Page::of_luggage(setup, luggage);
    let written = page.write_text(&Palette::PLAIN, &mut bytes);
    written.expect("a vector takes every byte");
    String::from_utf8(bytes).expect("the page is text")
}

#[test]
fn the_page_of_a_bag() {
    let (setup, luggage) = bag();
    let text = text(setup, luggage);
    assert!(!text.contains('\u{a0}'), "{text}");
    let (own, _) = text.split_once("\nAdapters\n").expect("then the way");
    insta::assert_snapshot!(own, @r"
        buy trio, 1 adapter, 2 cables for 60 together; the bag weighs 249 g; everything
        is full every morning, after 3 h 00 min at most; proven: no lighter bag does as
        well

        Buy, for 60 together
          What           Weight  Price  Kind
          ─────────────────────────────────────
          trio           128 g   39     charger
          EF to G        45 g    7      adapter
          C-C 100 W 1 m  32 g    9      cable
          A-C 1 m        22 g    5      cable

        Take along
          What             Weight  Kind
          ──────────────────────────────────
          C-C 60 W 1 m     22 g    cable
          garment steamer          appliance

        Night by night
          Where          Nights  Beside the rest  All full after
          ──────────────────────────────────────────────────────
          Vienna, Leeds  1, 3    metronome        3 h 00 min
          Vienna, Leeds  2, 4                     2 h 03 min

        Vienna, Leeds, nights 1, 3: who sits where
          - trio: C1 laptop (C-C 60 W 1 m), C2 score tablet (C-C 100 W 1 m), A1
            metronome (A-C 1 m)

        Vienna, Leeds, nights 2, 4: who sits where
          - trio: C1 laptop (C-C 100 W 1 m), C2 score tablet (C-C 60 W 1 m)

        What things cost the bag
          - without garment steamer: 15 g less, price 2 less (C to G instead of EF to G)
          - without any one of laptop, score tablet, metronome: 32 g less, price 9 less
            (1 cable)

        Chargers, or adapters with ports
          - this bag has chargers; with adapters with ports of their own alone: 316 g,
            price 73, 4 pieces, all full after 2 h 11 min (world cube + 3 cables): 67 g
            more
          - common practice: up to about 120 W together an adapter with ports of its own
            can be enough, above that it is a charger with many ports through a plain
            adapter; these devices take up to 100 W together

        Bags that no other beats
          Weight  Price  Pieces  All full after  With
          ─────────────────────────────────────────────────────────────────
          249 g   60     5       3 h 00 min      trio + 1 adapter, 3 cables
          316 g   73     4       2 h 11 min      world cube + 3 cables
          361 g   86     5       1 h 29 min      desk + 1 adapter, 3 cables
          The first is the bag above.
          Times are the least that a bag allows; a night's plan may take 3 min more.
        ");
}

#[test]
fn whatever_things_are_called_the_page_is_80_columns_wide() {
    for name in [
        "x".repeat(200),
        "<script>alert('1')</script> & \"quotes\"".to_owned(),
        "very ".repeat(39) + "long",
        "esc\u{1b}[2Jape".to_owned(),
    ] {
        let (setup, mut luggage) = bag().clone();
        for piece in luggage.buy.iter_mut().chain(&mut luggage.take) {
            piece.thing.clone_from(&name);
        }
        luggage.leave.clone_from(&luggage.take);
        for cost in &mut luggage.costs {
            cost.thing.clone_from(&name);
            cost.spared = vec![format!("2 × {name}")];
        }
        for bag in &mut luggage.unbeaten {
            bag.things.push(format!("1 × {name}"));
        }
        for stop in luggage.trip.iter_mut().flat_map(|trip| &mut trip.stops) {
            stop.name.clone_from(&name);
            for night in &mut stop.calendar {
                night.devices = vec![name.clone()];
                for berth in night.plan.iter_mut().flat_map(|plan| &mut plan.berths) {
                    berth.device.clone_from(&name);
                    berth.cable.clone_from(&name);
                }
            }
        }
        let page = text(&setup, &luggage);
        for line in page.lines() {
            assert!(line.chars().count() <= 80, "{line}");
            assert!(!line.ends_with(' '), "blanks at the end: {line:?}");
        }
        assert!(!page.contains('\u{1b}'), "{page:?}");
    }
}

#[test]
fn what_serves_nobody_is_said_in_a_line() {
    let (setup, luggage) = bag();
    let mut luggage = luggage.clone();
    luggage.unserved_nights = [1, 0, 2];
    let page = Page::of_luggage(setup, &luggage);
    assert!(!page.good);
    let told = "over all nights a device is without a port 3 times";
    assert!(page.headline.contains(told), "{}", page.headline);
    luggage.bag.pieces = 0;
    let page = Page::of_luggage(setup, &luggage);
    assert_eq!(page.headline, "no bag of these things charges anything");
}
