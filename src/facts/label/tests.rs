//! Labels as they are printed, faults, and texts at random.

use proptest::prelude::*;

use super::*;

#[track_caller]
fn reads(text: &str, volts: &[(f64, f64)], hertz: &[(f64, f64)], amps: Option<f64>) {
    let label = MainsLabel::parse(text, Bare::Volts).expect("the label is well formed");
    let pairs = |list: &[Rated]| -> Vec<(f64, f64)> {
        list.iter()
            .map(|rated| {
                (
                    (rated.low * 1e6).round() / 1e6,
                    (rated.high * 1e6).round() / 1e6,
                )
            })
            .collect()
    };
    assert_eq!(pairs(&label.voltage_v), volts, "{text}");
    assert_eq!(pairs(&label.frequency_hz), hertz, "{text}");
    assert_eq!(label.most_a, amps, "{text}");
}

#[test]
fn labels_are_read_as_printed() {
    let wide = &[(100.0, 240.0)][..];
    let both = &[(50.0, 50.0), (60.0, 60.0)][..];
    let between = &[(50.0, 60.0)][..];
    let one = &[(230.0, 230.0)][..];
    reads("100-240 V 50/60 Hz", wide, both, None);
    reads("100-240V~ 50-60Hz", wide, between, None);
    reads("100–240 V", wide, &[], None);
    reads("100~240V AC, 50/60Hz, 1.5A", wide, both, Some(1.5));
    reads("INPUT: AC 100-240V~50/60Hz 1,5A", wide, both, Some(1.5));
    reads("100V-240V~", wide, &[], None);
    reads("100 to 240 VAC", wide, &[], None);
    reads("100-240", wide, &[], None);
    reads("100-240V - 50/60Hz - 1,5A", wide, both, Some(1.5));
    reads("100V~240V~50/60Hz", wide, both, None);
    reads("100-240V ~ 50-60Hz 1.8A max", wide, between, Some(1.8));
    reads("100-240V∼, 0.5 A / 1.2 A", wide, &[], Some(1.2));
    reads("230 V", one, &[], None);
    reads("230V~ 50Hz 1200W", one, &[(50.0, 50.0)], None);
    reads("230 V 50 Hz 1,2 kW", one, &[(50.0, 50.0)], None);
    reads(
        "230 V ±10 % 50 Hz",
        &[(207.0, 253.0)],
        &[(50.0, 50.0)],
        None,
    );
    reads(
        "230 V +/-10% 50 Hz",
        &[(207.0, 253.0)],
        &[(50.0, 50.0)],
        None,
    );
    reads(
        "100 V / 200 V",
        &[(100.0, 100.0), (200.0, 200.0)],
        &[],
        None,
    );
    reads("110/220V", &[(110.0, 110.0), (220.0, 220.0)], &[], None);
    reads(
        "110-120/220-240 V",
        &[(110.0, 120.0), (220.0, 240.0)],
        &[],
        None,
    );
    reads(
        "110-120 V, 220-240 V",
        &[(110.0, 120.0), (220.0, 240.0)],
        &[],
        None,
    );
    reads(
        "120 V 60 Hz 350 mA",
        &[(120.0, 120.0)],
        &[(60.0, 60.0)],
        Some(0.35),
    );
    reads("220.5 V", &[(220.5, 220.5)], &[], None);
    reads("220,5 V", &[(220.5, 220.5)], &[], None);
    reads("100 or 200 V", &[(100.0, 100.0), (200.0, 200.0)], &[], None);
}

#[test]
fn a_frequency_may_stand_alone() {
    for (text, expected) in [
        ("50/60 Hz", vec![Rated::single(50.0), Rated::single(60.0)]),
        ("50/60", vec![Rated::single(50.0), Rated::single(60.0)]),
        ("47-63Hz", vec![Rated::range(47.0, 63.0)]),
        ("60", vec![Rated::single(60.0)]),
    ] {
        let label = MainsLabel::parse(text, Bare::Hertz).expect("the label is well formed");
        assert_eq!(label.frequency_hz, expected, "{text}");
        assert!(label.voltage_v.is_empty(), "{text}");
    }
}

#[track_caller]
fn fails(text: &str, part: &str, message: &str) {
    let faults = MainsLabel::parse(text, Bare::Volts).expect_err("the label is faulty");
    let fault = &faults[0];
    assert_eq!(text.get(fault.span.clone()), Some(part), "{text}: {fault}");
    assert!(fault.message.contains(message), "{text}: {fault}");
}

#[test]
fn faults_point_at_their_part() {
    fails("", "", "no voltage");
    fails("AC", "AC", "no voltage");
    fails("240-100 V", "240-100", "lower to the higher");
    fails("12 V", "12", "between 80 and 500 V");
    fails("20 V DC", "20", "between 80 and 500 V");
    fails("110 V DC", "DC", "direct current");
    fails("5V⎓3A", "5", "between 80 and 500 V");
    fails("230 V 5 Hz", "5", "between 15 and 440 Hz");
    fails("230 V 0 A", "0", "at most 100 A");
    fails("230 V purple", "purple", "not understood");
    fails("-240 V", "-", "between two values");
    fails("100- V", "-", "two ends");
    fails("100.5.1 V", "100.5.1", "not a number");
    fails("110,220 V", "110,220", "decimal comma");
    fails("V", "V", "no value before it");
    fails("100-200-240 V", "100-200-240", "lower to the higher");
    fails("230 V ± V", "±", "not understood");
    fails("±10 %", "±10 %", "after its value");
    fails("230 V ±90 %", "±90 %", "at most 50 %");
    fails(&"9".repeat(2000), &"9".repeat(2000), "longest");
}

#[test]
fn two_fields_make_one_label() {
    let read = |text, bare| MainsLabel::parse(text, bare).expect("the label is well formed");
    let both = read("100-240 V 50/60 Hz 1 A", Bare::Volts);
    let apart = read("100-240", Bare::Volts).and(read("50/60 Hz 1 A", Bare::Hertz));
    assert_eq!(apart, both);
    assert_eq!(both.clone().and(apart), both);
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in "[0-9 VvHhzZAaWm/,.;~±%+()⎓–-]{0,24}|\\PC{0,40}") {
        match MainsLabel::parse(&text, Bare::Volts) {
            Ok(label) => {
                prop_assert!(label.voltage_v.iter().all(|r| r.low <= r.high));
                prop_assert!(label.frequency_hz.iter().all(|r| r.low <= r.high));
                prop_assert!(label.voltage_v.len() + label.frequency_hz.len() > 0);
            }
            Err(faults) => for fault in faults {
                prop_assert!(text.get(fault.span).is_some());
            },
        }
    }

    #[test]
    fn what_is_printed_is_read_back(low in 80_u32..=250, more in 0_u32..=250, hertz in 15_u32..=440) {
        let volts = Rated::range(f64::from(low), f64::from(low + more));
        let hertz = Rated::single(f64::from(hertz));
        for text in [format!("{volts} V {hertz} Hz"), format!("AC {volts}V~{hertz}Hz, 1,5 A")] {
            let label = MainsLabel::parse(&text, Bare::Volts).expect("the label is well formed");
            prop_assert_eq!(&label.voltage_v, &[volts], "{}", text);
            prop_assert_eq!(&label.frequency_hz, &[hertz], "{}", text);
        }
    }
}

#[test]
fn several_voltages_may_mean_a_switch() {
    for (text, expected) in [
        ("110/220 V", true),
        ("110-120 / 220-240 V", true),
        ("100-240 V", false),
        ("230 V 50/60 Hz", false),
    ] {
        let label = MainsLabel::parse(text, Bare::Volts).expect("the label is well formed");
        assert_eq!(label.may_have_switch(), expected, "{text}");
    }
}
