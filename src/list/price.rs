//! What a thing costs, in whatever currency the whole list has.

use std::ops::Range;

use super::amount::TWO_NUMBERS;
use super::line::{Line, Places};
use super::text::Piece;

/// Currencies as people write them: by sign, by code (ISO 4217) and by name (common
/// practice). Only whether two of them are the same is asked.
const CURRENCIES: &[&[&str]] = &[
    &["€", "eur", "euro", "euros"],
    &["$", "usd", "dollar", "dollars"],
    &["£", "gbp", "pound", "pounds", "quid"],
    &["¥", "jpy", "yen"],
    &["₩", "krw", "won"],
    &["₹", "inr", "rupees"],
    &["chf", "franc", "francs"],
    &["kr", "crowns"],
    &["dkk"],
    &["nok"],
    &["sek"],
    &["pln"],
    &["czk"],
    &["huf"],
    &["cad"],
    &["aud"],
    &["nzd"],
    &["cny"],
];

const NO_PRICE: &str = "a price is a number: `price 39`";

/// The currency that stands `ahead`.
pub(super) fn currency(line: &Line<'_>, ahead: usize) -> Option<&'static str> {
    let sign;
    let written = match line.piece(ahead)? {
        Piece::Sign(found) => {
            sign = found.to_string();
            sign.as_str()
        }
        Piece::Word(word) => word.as_str(),
        _ => return None,
    };
    let mut all = CURRENCIES.iter();
    all.find(|names| names.contains(&written))
        .map(|names| names[0])
}

/// Reads the price that stands here, if one does: `price 29`, `29.50 EUR`, `€29`, `at 29`.
pub(super) fn price(line: &mut Line<'_>, into: &mut Option<f64>, places: &mut Places) -> bool {
    let (start, mark) = (line.span(0).start, line.mark());
    let said = line.take(&["price", "costs", "at"]);
    if matches!(said, Some("price" | "costs")) && line.sign(0) == Some(':') {
        line.next();
    }
    let mut of = currency(line, 0).filter(|_| is_number(line, 1));
    if of.is_some() {
        line.next();
    } else if is_number(line, 0) {
        of = currency(line, 1);
    }
    let begins = match said {
        Some("at") => of.is_some() || is_number(line, 0) && ends_part(line),
        Some(_) => true,
        None => of.is_some(),
    };
    if !begins {
        line.back_to(mark);
        return false;
    }
    let value = match line.piece(0) {
        Some(&Piece::Number(value)) => Ok(value),
        Some(Piece::TwoNumbers) => Err(TWO_NUMBERS),
        _ => {
            line.fault(start..line.end(), NO_PRICE);
            return true;
        }
    };
    let number = line.span(0);
    line.next();
    if currency(line, 0).is_some() {
        line.next();
    }
    let span = start..line.end();
    match value {
        Err(message) => line.fault(number, message),
        Ok(value) => {
            if into.replace(value).is_some() {
                line.fault(span.clone(), "this is said twice");
            }
        }
    }
    if let Some(of) = of {
        if line.currency.is_some_and(|before| before != of) {
            let message = "prices in two currencies: write all of them in one";
            line.fault(span.clone(), message);
        }
        line.currency = Some(of);
    }
    places.push(("price", span));
    true
}

fn is_number(line: &Line<'_>, ahead: usize) -> bool {
    matches!(
        line.piece(ahead),
        Some(Piece::Number(_) | Piece::TwoNumbers)
    )
}

/// Whether the part ends behind the number that stands here.
fn ends_part(line: &Line<'_>) -> bool {
    matches!(
        line.piece(1),
        None | Some(Piece::Sign(',' | ';' | '|' | ')'))
    ) || line.counted_at(1)
}

/// Refuses what is for sale and does not say what it weighs and costs: it would always be
/// bought.
pub(super) fn worth(
    line: &mut Line<'_>,
    whole: &Range<usize>,
    weight_g: Option<f64>,
    price: Option<f64>,
) {
    let lacks = match (weight_g, price) {
        (None, None) => "its weight and its price, in any currency: `110 g, price 29`",
        (None, Some(_)) => "its weight: `110 g`",
        (Some(_), None) => "its price, in any currency: `price 29`",
        (Some(_), Some(_)) => return,
    };
    if line.faults.is_empty() {
        line.fault(whole.clone(), format!("what is for sale needs {lacks}"));
    }
}
