//! Shops from texts of their own: a list with a heading `shop`, or a document with a `shop`.

use jsonc_parser::ast::Value;

use super::fields::Part;
use super::locate::Text;
use super::origins::Origins;
use super::reader::Reader;
use super::{list_without_chargers, read};
use crate::diagnostics::{Path, Source, Step};
use crate::list;
use crate::setup::Guess;
use crate::setup::document::{SetupDocument, Shop};

/// The shops of these texts together, and what is filled in of them.
pub(super) fn together<'a>(
    sources: &[Source<'a>],
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
    origins: &mut Origins,
) -> (Shop, Vec<Guess>) {
    let (mut all, mut guesses) = (Shop::new(), Vec::new());
    for source in sources {
        let (mut shop, mut filled) = one(*source, texts, readers);
        let text = texts.len() - 1;
        for guess in &mut filled {
            move_on(&mut guess.path, &all);
        }
        guesses.append(&mut filled);
        let top = Path::default().field("shop");
        // What is wrong of all together is said where they became too many.
        origins.put(top.clone(), text, top.clone());
        macro_rules! add {
            ($($list:ident),+) => {$({
                let list = top.field(stringify!($list));
                for own in 0..shop.$list.len() {
                    origins.put(list.index(all.$list.len() + own), text, list.index(own));
                }
                all.$list.append(&mut shop.$list);
            })+};
        }
        add!(chargers, cables, adapters, converters);
    }
    (all, guesses)
}

/// Moves the path of a thing of a shop behind what the others have.
fn move_on(path: &mut Path, others: &Shop) {
    if let [_, Step::Field(list), Step::Index(index), ..] = path.0.as_mut_slice() {
        *index += match list.as_str() {
            "chargers" => others.chargers.len(),
            "cables" => others.cables.len(),
            "adapters" => others.adapters.len(),
            _ => others.converters.len(),
        };
    }
}

/// The shop of one text; that it has none is noted.
fn one<'a>(
    source: Source<'a>,
    texts: &mut Vec<Text<'a>>,
    readers: &mut Vec<Reader>,
) -> (Shop, Vec<Guess>) {
    if !list::is_list(source.text) {
        let shop = read(source, texts, readers, shop);
        return (shop.unwrap_or_default(), Vec::new());
    }
    let (document, mut guesses) = list_without_chargers(source, texts, readers);
    if document.shop.is_none()
        && let Some(reader) = readers.last_mut()
    {
        let message = "there is no shop here: a line `shop`, and below it what is for sale, each \
                       thing with its weight and its price";
        reader.refuse(Path::default().field("shop"), message);
    }
    guesses.retain(|guess| guess.is_of("shop"));
    (document.shop.unwrap_or_default(), guesses)
}

/// Reads a document of which only the shop is taken.
fn shop(reader: &mut Reader, tree: &Value<'_>) -> Option<Shop> {
    let what = "a shop file";
    let f = reader.object(tree, &Path::default(), what, Some(SetupDocument::FIELDS))?;
    reader.require(&f, "shop", what);
    SetupDocument::of(reader, &f)?.shop
}

#[cfg(test)]
mod tests {
    use crate::diagnostics::{Error, Source};
    use crate::setup::Setup;

    const BAG: &str = "laptop 65 W, 30 % left\ncable C to C\n";
    const LIST: &str = "laptop\ncable C to C\n\nshop\ncharger cube: C1 65 W; 115 g; price 36\n\
                        cable C to C, 32 g, price 7\n";
    const DOCUMENT: &str = r#"{"name": "kiosk", "shop": {
        "chargers": [{"name": "stub", "weight_g": 40, "price": 9,
                      "ports": [{"name": "C1", "pd_w": 20}]}],
        "cables": [{"name": "braided", "weight_g": 30, "price": 8}]
    }}"#;

    fn with(shops: &[&str]) -> Result<Setup, Vec<(String, usize, String)>> {
        let names = ["one", "two", "three"];
        let shops = shops.iter().zip(names);
        let shops: Vec<Source<'_>> = shops.map(|(text, file)| Source { file, text }).collect();
        let bag = Source {
            file: "bag",
            text: BAG,
        };
        match Setup::with_shops(bag, &[], &shops) {
            Ok(setup) => Ok(setup),
            Err(Error::Input(faults)) => Err(faults
                .into_iter()
                .map(|fault| (fault.file, fault.line, fault.message))
                .collect()),
            Err(error) => panic!("{error}"),
        }
    }

    fn sold(setup: &Setup) -> [Vec<&str>; 2] {
        let shop = setup.document().shop.as_ref().expect("a shop");
        [
            shop.chargers.iter().map(|one| one.name.as_str()).collect(),
            shop.cables.iter().map(|one| one.name.as_str()).collect(),
        ]
    }

    #[test]
    fn shops_together_are_one_and_nothing_else_of_them_is_taken() {
        let setup = with(&[LIST, DOCUMENT]).expect("they are sound");
        assert_eq!(
            sold(&setup),
            [vec!["cube", "stub"], vec!["new C-C", "braided"]]
        );
        assert_eq!(setup.document().devices.len(), 1);
        assert_eq!(setup.document().cables.len(), 1);
        let setup = with(&[DOCUMENT]).expect("it is sound");
        assert_eq!(sold(&setup), [vec!["stub"], vec!["braided"]]);
    }

    #[test]
    fn the_own_shop_makes_room() {
        let bag = format!("{BAG}{}", &LIST[LIST.find("shop").expect("it is there")..]);
        let source = |text| Source { file: "", text };
        let own = Setup::from_text(&bag).expect("it is sound");
        let other = Setup::with_shops(source(&bag), &[], &[source(DOCUMENT)]).expect("it is sound");
        assert_eq!(sold(&own)[0], ["cube"]);
        assert_eq!(sold(&other)[0], ["stub"]);
    }

    #[test]
    fn faults_keep_their_file_and_their_line() {
        let bare = "shop\ncharger one: C1 20 W; 40 g; price 9\ncable C to micro\n";
        let twice = DOCUMENT.replace("braided", "C-micro");
        let faults = with(&[DOCUMENT, bare]).expect_err("a cable has no weight");
        let (file, line, message) = &faults[0];
        assert_eq!((file.as_str(), *line), ("two", 3), "{faults:?}");
        assert!(message.contains("needs its weight"), "{message}");
        let faults = with(&[&bare.replace("micro", "micro, 20 g, price 4"), &twice]);
        let faults = faults.expect_err("two cables have one name");
        assert_eq!(
            (faults[0].0.as_str(), faults[0].1),
            ("two", 4),
            "{faults:?}"
        );
        for text in ["phone\n", "{\"devices\": []}", "[]", "", "{"] {
            let faults = with(&[text]).expect_err("it has no shop");
            assert_eq!(faults.len(), 1, "{text}: {faults:?}");
            assert_eq!(faults[0].0, "one", "{text}");
        }
    }
}
