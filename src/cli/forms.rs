//! The forms that an answer has: who asks for one that it has not is told which it has.

use clap::CommandFactory;
use clap::error::{ContextKind, ContextValue, ErrorKind};

use super::Cli;

/// What an option asks for.
const FORMS: [(&str, &str); 5] = [
    ("--html", "page"),
    ("--svg", "picture"),
    ("--card", "card"),
    ("--csv", "table"),
    ("--json", "document of its own"),
];

/// What is wrong with the arguments, where they ask a subcommand for a form that its answer
/// has not.
pub(super) fn refused(error: &clap::Error, args: &[String]) -> Option<clap::Error> {
    if error.kind() != ErrorKind::UnknownArgument {
        return None;
    }
    let Some(ContextValue::String(asked)) = error.get(ContextKind::InvalidArg) else {
        return None;
    };
    let asked = asked.split('=').next()?;
    let (option, what) = FORMS.iter().find(|(option, _)| *option == asked)?;
    let mut command = Cli::command();
    command.build();
    let named = |arg: &&String| command.find_subcommand(arg).is_some();
    let name = args.iter().skip(1).find(named)?.clone();
    let has = instead(&name, option)?;
    let command = command.find_subcommand_mut(&name)?;
    let message = format!("`{name}` has no {what}: {has}");
    Some(command.error(ErrorKind::UnknownArgument, message))
}

/// What a subcommand has instead of the form that an option asks for.
fn instead(name: &str, option: &str) -> Option<&'static str> {
    let has = match (name, option) {
        ("check", _) => "it answers in one line",
        ("verify", _) => "it answers in a few lines",
        ("batch", _) => "it answers in lines of JSON as it is",
        ("read" | "example", _) => "it prints a list, or with `--json` a document",
        ("schema", _) => "it prints a JSON document as it is",
        ("completions", _) => "it prints a script for a shell",
        ("man", _) => "it prints pages of the manual",
        (_, "--csv") => "only `rank` answers in rows alike, and has one",
        (_, "--card") => "only `assign` and `rota` say where to plug in what, and have one",
        ("trip", "--svg") => "it answers in tables, which `--html` shows",
        ("calendar", "--svg") => "it answers in a night after another, which `--html` shows",
        ("score", "--svg") => "it answers in a table, which `--html` shows",
        ("why" | "improve" | "guest" | "wish", "--svg") => {
            "it answers in sentences, which `--html` shows"
        }
        _ => return None,
    };
    Some(has)
}

#[cfg(test)]
mod tests {
    use clap::{CommandFactory, Parser};

    use super::{Cli, FORMS, refused};

    #[test]
    fn every_subcommand_has_a_form_or_says_what_it_has() {
        for command in Cli::command().get_subcommands() {
            for (option, _) in FORMS {
                let has = command.get_arguments().any(|argument| {
                    argument
                        .get_long()
                        .is_some_and(|long| option == format!("--{long}"))
                });
                let args = ["wattberth", command.get_name(), option].map(str::to_owned);
                let Err(error) = Cli::try_parse_from(&args) else {
                    continue;
                };
                let told = refused(&error, &args);
                assert_eq!(told.is_some(), !has, "{args:?}: {error}");
                if let Some(told) = told {
                    let text = told.to_string();
                    let start = format!("error: `{}` has no ", command.get_name());
                    assert!(text.starts_with(&start), "{text}");
                }
            }
        }
    }
}
