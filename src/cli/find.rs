//! The command `find`.

mod near;

pub(crate) use near::NearAsk;

use super::args::{Arguments, Catalog};
use super::opening::with_search;
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::catalog::{Lookup, Status, Value as _, names_of_type};
use crate::desk::open::Searchable;
use crate::fit::find_machine;
use crate::index::{Found, Hit, Question};
use crate::kit::{Refusal, Unknown};
use crate::measure::{DecimalMark, Key, Size, shorten};
use crate::near::nearest;
use clap::builder::{OsStringValueParser, TypedValueParser as _};
use clap::{Args, CommandFactory as _};
use serde_json::{Map, Value, json};
use std::ffi::OsString;

/// Puts behind `--` what a person wants found although it begins with a hyphen, so that any text is a question.
pub(crate) fn with_any_words(arguments: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    let mut others = arguments.iter().skip(1);
    let command = loop {
        match others.next().map(|argument| argument.to_string_lossy()) {
            Some(option) if matches!(&*option, "-C" | "--catalog" | "--color" | "--index") => {
                let _ = others.next();
            }
            Some(option) if option.starts_with('-') => {}
            other => break other,
        }
    };
    if command.as_deref() != Some("find") || arguments.iter().any(|argument| argument == "--") {
        return arguments;
    }
    let command = Arguments::command();
    let find = command.find_subcommand("find");
    let known: Vec<String> = command
        .get_arguments()
        .chain(find.into_iter().flat_map(clap::Command::get_arguments))
        .flat_map(|argument| {
            let long = argument.get_long().map(|long| format!("--{long}"));
            long.into_iter().chain(argument.get_short().map(|short| format!("-{short}")))
        })
        .chain(["--help", "-h", "--version", "-V"].map(str::to_owned))
        .collect();
    let is_word = |argument: &OsString| {
        let text = argument.to_string_lossy();
        let name = text.split('=').next().unwrap_or_default();
        text.starts_with('-')
            && text.len() > 1
            && !known.iter().any(|known| known == name)
            && !text.starts_with("-C")
    };
    let (words, mut others): (Vec<_>, Vec<_>) = arguments.into_iter().partition(is_word);
    if !words.is_empty() {
        others.push("--".into());
        others.extend(words);
    }
    others
}

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright find 91-2044
  kitwright find o-ring 62x3
  kitwright find lip seal --on dinghy
  kitwright find --type gasket --status discontinued
  kitwright find --near 24x3 --type o-ring
  kitwright find --near 50x2 --type o-ring --on dinghy --at pump-housing-oring")]
pub(crate) struct FindAsk {
    /// A number in any spelling or a piece of one, a type, a size, or any words.
    #[arg(value_name = "WORDS", value_parser = OsStringValueParser::new().map(|word| word.to_string_lossy().into_owned()))]
    pub words: Vec<String>,
    /// Only parts of this type, by any of its names.
    #[arg(long = "type", value_name = "TYPE")]
    pub part_type: Option<String>,
    /// Only parts of this size.
    #[arg(long, value_name = "SIZE")]
    pub size: Option<String>,
    /// Only what can sit on this machine.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
    /// Only what can sit at this position.
    #[arg(long, alias = "position", value_name = "POSITION")]
    pub at: Option<String>,
    /// Only parts that can, or can no longer, be bought.
    #[arg(long, value_name = "STATUS", value_parser = parse_status)]
    pub status: Option<Status>,
    /// Parts of nearly this size; --type says of what type.
    #[arg(long, value_name = "SIZE", requires = "part_type")]
    pub near: Option<String>,
    /// With --near, how far each length may be off, such as 0.5 or 0.02 in; without it, a tenth of the length.
    #[arg(long, value_name = "TOL", value_parser = near::parse_length, requires = "near")]
    pub within: Option<Size>,
    /// How many to show.
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub limit: usize,
}

fn parse_status(text: &str) -> Result<Status, String> {
    Status::read(text.trim(), DecimalMark::Point).map_err(|error| error.to_string())
}

pub(crate) fn run(catalog: &Catalog, ask: &FindAsk, json: bool) -> anyhow::Result<Answer> {
    if let Some(size) = &ask.near {
        let near = NearAsk {
            size: std::iter::once(size).chain(&ask.words).cloned().collect(),
            part_type: ask.part_type.clone().unwrap_or_default(),
            within: ask.within.clone(),
            on: ask.on.clone(),
            at: ask.at.clone(),
            limit: ask.limit,
        };
        return near::run(catalog, &near, json);
    }
    with_search(catalog, |catalog, notes| Ok(work(catalog, ask, json)?.after(&notes)))
}

fn work(catalog: &dyn Searchable, ask: &FindAsk, json: bool) -> anyhow::Result<Answer> {
    let refused = |refusal: &Refusal| Ok(Answer::refused(format!("error: {refusal}\n")));
    let on = match ask
        .on
        .as_ref()
        .map(|machine| find_machine(&Key::new(machine), catalog.lookup()))
        .transpose()
    {
        Ok(machine) => machine,
        Err(refusal) => return refused(&refusal),
    };
    let position = ask.at.as_ref().map(|position| Key::new(position));
    if let Some(position) = &position
        && catalog.positions(position).is_empty()
        && catalog.retrofits_at(position).is_empty()
    {
        return refused(&Refusal::NoPosition(Unknown::new(position, &catalog.position_keys())));
    }
    if let Some(wrong) =
        ask.part_type.as_ref().and_then(|kind| unknown_type(kind, catalog.lookup()))
    {
        return Ok(Answer::refused(format!("error: {wrong}\n")));
    }
    let question = Question {
        words: ask.words.join(" "),
        part_type: ask.part_type.clone(),
        size: ask.size.clone(),
        on,
        position,
        status: ask.status,
        limit: ask.limit,
    };
    let found = catalog.find(&question)?;
    let ended = if found.total > 0 { Ended::Done } else { Ended::NotFound };
    if json {
        return Ok(Answer::new(
            format!("{}\n", serde_json::to_string_pretty(&as_json(&found))?),
            ended,
        ));
    }
    if found.total == 0 {
        let mut err = "nothing found".to_owned();
        if let Some(nearest) = &found.nearest {
            err.push_str(&format!("; the nearest there is: {}", described(nearest)));
        }
        err.push('\n');
        return Ok(Answer { out: String::new(), err, ended });
    }
    Ok(Answer::new(page(&found), ended))
}

/// The command `near`, as it was called before `find --near`.
pub(crate) fn run_near(catalog: &Catalog, ask: &NearAsk, json: bool) -> anyhow::Result<Answer> {
    near::run(catalog, ask, json)
}

/// Says that a text names no type, and which is meant; `None` where it names one, or nothing is like it.
fn unknown_type(text: &str, lookup: &dyn Lookup) -> Option<String> {
    if names_of_type(text, lookup).is_some() {
        return None;
    }
    let mut names = lookup.type_names();
    names.sort_by(|a, b| a.folded().cmp(b.folded()));
    let hint = match nearest(text, names.iter().map(Key::as_str)) {
        Some(meant) => format!("did you mean '{meant}'?"),
        None => "kitwright columns types lists them".to_owned(),
    };
    Some(format!("no type '{}'; {hint}", shorten(text)))
}

/// A hit in a line.
fn described(hit: &Hit) -> String {
    let named = [hit.name.as_str(), hit.size.as_str()];
    let what: Vec<&str> = named.into_iter().filter(|text| !text.is_empty()).collect();
    let what = if what.is_empty() { hit.part_type.clone() } else { what.join(", ") };
    format!("{} {what}", hit.part).trim_end().to_owned()
}

fn page(found: &Found) -> String {
    let mut page = Page::default();
    page.answer(&count(found.total, "part", "parts"), true);
    for taken in &found.taken {
        page.text(taken, "! ", "  ");
    }
    let widest =
        found.hits.iter().map(|hit| hit.part.as_str().chars().count()).max().unwrap_or(0).min(24);
    for hit in &found.hits {
        let first = format!("  {:<widest$}  ", hit.part);
        let rest = " ".repeat(first.chars().count());
        let what: Vec<&str> = [hit.name.as_str(), hit.size.as_str()]
            .into_iter()
            .filter(|text| !text.is_empty())
            .collect();
        let mut what = what.join(", ");
        if !hit.part_type.is_empty() {
            what.push_str(&format!(" [{}]", hit.part_type));
        }
        page.text(
            if what.is_empty() {
                "(not in the table parts; other tables name it)"
            } else {
                what.trim()
            },
            &first,
            &rest,
        );
    }
    if found.hits.len() < found.total {
        page.text(
            &format!("and {} more (--limit N shows more)", found.total - found.hits.len()),
            "  ",
            "  ",
        );
    }
    let types: Vec<String> = found
        .types
        .iter()
        .map(|(kind, count)| {
            format!("{} {count}", if kind.is_empty() { "without a type" } else { kind })
        })
        .collect();
    if types.len() > 1 {
        page.blank();
        page.text(&types.join(", "), "By type: ", "  ");
    }
    page.into_text()
}

fn hit_json(hit: &Hit) -> Map<String, Value> {
    let mut object = Map::new();
    object.insert("part".into(), json!(hit.part.as_str()));
    object.insert("type".into(), json!(hit.part_type));
    object.insert("name".into(), json!(hit.name));
    object.insert("size".into(), json!(hit.size));
    object.insert("score".into(), json!(hit.score));
    object
}

fn as_json(found: &Found) -> Value {
    let types: Map<String, Value> =
        found.types.iter().map(|(kind, count)| (kind.clone(), json!(count))).collect();
    json!({
        "total": found.total,
        "hits": found.hits.iter().map(hit_json).collect::<Vec<_>>(),
        "types": types,
        "taken": found.taken,
        "nearest": found.nearest.as_ref().map(hit_json),
    })
}
