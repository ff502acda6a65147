//! The command `find`.

use super::args::{Catalog, FindAsk};
use super::opening::with_search;
use super::page::{Page, count};
use super::{Answer, Ended};
use crate::catalog::{Lookup, names_of_type};
use crate::desk::open::Searchable;
use crate::fit::find_machine;
use crate::index::{Found, Hit, Question};
use crate::kit::{Refusal, Unknown};
use crate::measure::{Key, shorten};
use crate::near::nearest;
use serde_json::{Map, Value, json};

pub(crate) fn run(catalog: &Catalog, ask: &FindAsk, json: bool) -> anyhow::Result<Answer> {
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
    let position = ask.position.as_ref().map(|position| Key::new(position));
    if let Some(position) = &position
        && catalog.positions(position).is_empty()
        && catalog.retrofits_at(position).is_empty()
    {
        return refused(&Refusal::NoPosition(Unknown::new(position, &catalog.position_keys())));
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
        } else if let Some(slip) =
            ask.part_type.as_ref().and_then(|kind| unknown_type(kind, catalog.lookup()))
        {
            err.push_str(&format!("; {slip}"));
        }
        err.push('\n');
        return Ok(Answer { out: String::new(), err, ended });
    }
    Ok(Answer::new(page(&found), ended))
}

/// Says that a text names no type, and which is meant; `None` where it names one, or nothing is like it.
pub(super) fn unknown_type(text: &str, lookup: &dyn Lookup) -> Option<String> {
    if names_of_type(text, lookup).is_some() {
        return None;
    }
    let mut names = lookup.type_names();
    names.sort_by(|a, b| a.folded().cmp(b.folded()));
    let meant = nearest(text, names.iter().map(Key::as_str))?;
    Some(format!("no type '{}'; did you mean '{meant}'?", shorten(text)))
}

/// A hit in a line.
pub(super) fn described(hit: &Hit) -> String {
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

pub(super) fn hit_json(hit: &Hit) -> Map<String, Value> {
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
