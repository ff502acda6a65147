//! Parts of nearly a size: `find --near`.

use super::super::args::Catalog;
use super::super::opening::with_search;
use super::super::printing::{Page, count};
use super::super::{Answer, Ended};
use super::{hit_json, unknown_type};
use crate::catalog::{Lookup, names_of_type};
use crate::desk::open::Searchable;
use crate::fit::{InSeat, NearLengths, PartSizes, Site, find_machine, standards_near};
use crate::index::{NearHit, NearQuestion};
use crate::kit::{Bench, Refusal, Unknown};
use crate::measure::{DecimalMark, Key, Size, lengths_mm, shorten};
use clap::Args;
use serde_json::{Value, json};

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright find --near 24x3 --type o-ring
  kitwright find --near '1 x 1/8 in' --type o-ring --within 0.2
  kitwright find --near 50x2 --type o-ring --on dinghy --at pump-housing-oring")]
pub(crate) struct NearAsk {
    /// The size, such as 24x3, 7/64 in or M6x25.
    #[arg(value_name = "SIZE", num_args = 1.., required = true)]
    pub size: Vec<String>,
    /// The type of part, by any of its names.
    #[arg(long = "type", value_name = "TYPE")]
    pub part_type: String,
    /// How far each length may be off, such as 0.5 or 0.02 in; without it, a tenth of the length.
    #[arg(long, value_name = "TOL", value_parser = parse_length)]
    pub within: Option<Size>,
    /// The machine in whose seat they are to be judged, with --at.
    #[arg(long, value_name = "MACHINE", requires = "at")]
    pub on: Option<String>,
    /// The position whose seat they are to be judged in, with --on.
    #[arg(long, value_name = "POSITION", requires = "on")]
    pub at: Option<String>,
    /// How many to show, of the catalog and of the standards.
    #[arg(long, value_name = "N", default_value_t = 20)]
    pub limit: usize,
}

pub(super) fn parse_length(text: &str) -> Result<Size, String> {
    Size::parse(text, DecimalMark::PointOrComma).map_err(|error| error.to_string())
}

pub(crate) fn run(catalog: &Catalog, ask: &NearAsk, json: bool) -> anyhow::Result<Answer> {
    with_search(catalog, |catalog, notes| Ok(work(catalog, ask, json)?.after(&notes)))
}

/// What is near the size: of the catalog and of the standards, with how many there are of each.
struct Near {
    parts: usize,
    hits: Vec<(NearHit, Option<InSeat>)>,
    sizes: usize,
    standards: Vec<NearLengths>,
}

fn work(catalog: &dyn Searchable, ask: &NearAsk, json: bool) -> anyhow::Result<Answer> {
    let question = NearQuestion {
        size: ask.size.join(" "),
        part_type: ask.part_type.clone(),
        within: ask.within.clone(),
        limit: ask.limit,
    };
    let Some(lengths) = lengths_mm(&question.size) else {
        let text = format!(
            "error: '{}' is no size; type one such as 24x3, 12x24x7, 7/64 in or M6x25\n",
            shorten(&question.size)
        );
        return Ok(Answer::refused(text));
    };
    if let Some(wrong) = unknown_type(&ask.part_type, catalog.lookup()) {
        return Ok(Answer::refused(format!("error: {wrong}\n")));
    }
    let site = match site(catalog.lookup(), ask) {
        Ok(site) => site,
        Err(refusal) => return Ok(Answer::refused(format!("error: {refusal}\n"))),
    };
    let (parts, hits) = catalog.near(&question)?.unwrap_or_default();
    let judged = hits.into_iter().map(|near| {
        let lookup = catalog.lookup();
        let judged = site
            .as_ref()
            .and_then(|site| site.judges(&PartSizes::of(&near.hit.part, lookup), lookup));
        (near, judged)
    });
    let hits = judged.collect();
    // In the plural, too.
    let name =
        names_of_type(&ask.part_type, catalog.lookup()).and_then(|names| names.into_iter().next());
    let kind = catalog.part_type(&Key::new(name.as_deref().unwrap_or(&ask.part_type)));
    let (sizes, standards) = match &kind {
        Some(kind) => {
            let slack = |length| question.slack_mm(length);
            standards_near(kind, &lengths, &slack, site.as_ref(), catalog.lookup(), ask.limit)
        }
        None => (0, Vec::new()),
    };
    let near = Near { parts, hits, sizes, standards };
    let ended = if parts + sizes > 0 { Ended::Done } else { Ended::NotFound };
    if json {
        return Ok(Answer::new(
            format!("{}\n", serde_json::to_string_pretty(&as_json(&near)?)?),
            ended,
        ));
    }
    if ended == Ended::NotFound {
        let err = "nothing of this type is near this size; a wider --within may find something\n";
        return Ok(Answer { out: String::new(), err: err.to_owned(), ended });
    }
    Ok(Answer::new(page(&near), ended))
}

/// The place that the sizes are to be judged for, where one is named.
fn site(lookup: &dyn Lookup, ask: &NearAsk) -> Result<Option<Site>, Refusal> {
    let (Some(machine), Some(position)) = (&ask.on, &ask.at) else { return Ok(None) };
    let machine = find_machine(&Key::new(machine), lookup)?;
    let position = Key::new(position);
    if lookup.positions(&position).is_empty() && lookup.seats_at(&position).is_empty() {
        return Err(Refusal::NoPosition(Unknown::new(&position, &lookup.position_keys())));
    }
    Ok(Some(Site::of(&Bench::new(machine, lookup), &lookup.spell_position(&position))))
}

fn page(near: &Near) -> String {
    let mut page = Page::default();
    let parts = count(near.parts, "part of the catalog", "parts of the catalog");
    page.answer(
        &format!("{parts}, {}", count(near.sizes, "standard size", "standard sizes")),
        true,
    );
    if !near.hits.is_empty() {
        page.heading("In the catalog");
    }
    for (NearHit { hit, off }, judged) in &near.hits {
        let size = if hit.size.is_empty() { "size as measured" } else { &hit.size };
        let text = format!("{}, {size} (off by {})", hit.name, off_by(off));
        page.text(&text, &format!("  {:<12} ", hit.part), INDENT);
        in_the_seat(judged.as_ref(), &mut page);
    }
    more(near.parts, near.hits.len(), &mut page);
    if !near.standards.is_empty() {
        page.heading("Standard sizes");
    }
    for NearLengths { standard, off } in &near.standards {
        let off: Vec<f64> = off.iter().filter_map(Value::as_f64).collect();
        let text = format!("{} (off by {})", standard.standard, off_by(&off));
        page.text(&text, &format!("  {:<12} ", standard.size), INDENT);
        in_the_seat(standard.in_seat.as_ref(), &mut page);
    }
    more(near.sizes, near.standards.len(), &mut page);
    page.blank();
    page.quiet(
        "A size says nothing of rubber, strength and hand: ask for them. A guide only: what the maker's manual says comes first.",
        "",
    );
    page.into_text()
}

const INDENT: &str = "               ";

fn off_by(off: &[f64]) -> String {
    let off: Vec<String> = off
        .iter()
        .map(|off| if *off == 0.0 { "0".to_owned() } else { format!("{off:+}") })
        .collect();
    format!("{} mm", off.join(", "))
}

fn in_the_seat(judged: Option<&InSeat>, page: &mut Page) {
    let Some(InSeat { finding, by_size }) = judged else { return };
    let verdict = finding.verdict;
    let of_size =
        if *by_size == verdict { String::new() } else { format!(" (by size alone {by_size})") };
    page.quiet(&format!("in the seat: {verdict}{of_size}; {}", finding.text()), INDENT);
}

fn more(total: usize, shown: usize, page: &mut Page) {
    if shown < total {
        page.text(&format!("and {} more (--limit N shows more)", total - shown), "  ", "  ");
    }
}

fn as_json(near: &Near) -> anyhow::Result<Value> {
    let hits: Result<Vec<Value>, serde_json::Error> = near
        .hits
        .iter()
        .map(|(near, judged)| {
            let mut object = hit_json(&near.hit);
            object.remove("score");
            object.insert("off".into(), json!(near.off));
            if let Some(judged) = judged {
                object.insert("in_seat".into(), serde_json::to_value(judged)?);
            }
            Ok(Value::Object(object))
        })
        .collect();
    Ok(json!({
        "total": near.parts,
        "hits": hits?,
        "standard_total": near.sizes,
        "standards": serde_json::to_value(&near.standards)?,
    }))
}
