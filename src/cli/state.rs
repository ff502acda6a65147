//! The command `state`.

use super::args::{Catalog, machine_meant, parse_day};
use super::opening::with_catalog;
use super::printing::{Page, count};
use super::{Answer, Ended};
use crate::desk::day;
use crate::measure::{Date, WearState, plain};
use crate::say::{life_text, trend_text};
use crate::work::state::{Known, LifeState, State, Status, Worn, bench_of, state};
use crate::work::unknowns::{Plan, plan};
use clap::Args;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright state dinghy
  kitwright state dinghy --unknown")]
pub(crate) struct StateAsk {
    /// The machine; --on names it, too. Without it KITWRIGHT_ON, or the only machine of the catalog.
    #[arg(value_name = "MACHINE", conflicts_with = "on")]
    pub machine: Option<String>,
    /// The machine.
    #[arg(long, value_name = "MACHINE")]
    pub on: Option<String>,
    /// Plan where to begin: the jobs that settle the most unknown positions for the least work.
    #[arg(long)]
    pub unknown: bool,
    /// The day for which it is said; today where it is not given.
    #[arg(long, value_name = "DATE", value_parser = parse_day)]
    pub date: Option<Date>,
}

pub(crate) fn run(catalog: &Catalog, ask: &StateAsk, json: bool) -> anyhow::Result<Answer> {
    let day = day(ask.date.as_ref())?;
    with_catalog(catalog, |lookup, notes| {
        let meant = machine_meant(ask.machine.as_ref().or(ask.on.as_ref()), lookup);
        let bench = match meant.and_then(|machine| bench_of(&machine, lookup)) {
            Ok(bench) => bench,
            Err(refusal) => return Ok(Answer::refused(format!("{notes}error: {refusal}\n"))),
        };
        let out = if ask.unknown {
            let plan = plan(&bench);
            if json {
                format!("{}\n", serde_json::to_string_pretty(&plan)?)
            } else {
                plan_page(&plan)
            }
        } else {
            let state = state(&bench, &day);
            if json { format!("{}\n", serde_json::to_string_pretty(&state)?) } else { page(&state) }
        };
        Ok(Answer { out, err: notes, ended: Ended::Done })
    })
}

fn page(state: &State) -> String {
    let mut page = Page::default();
    let overdue = state.positions.iter().filter(|known| known.status == Status::Overdue).count();
    let unknown = state.positions.iter().filter(|known| !known.logged).count();
    let hours = state.hours.map_or_else(String::new, |hours| format!(", {} hours", plain(hours)));
    let mut said = vec![format!(
        "{} of {} known",
        state.positions.len() - unknown,
        count(state.positions.len(), "position", "positions")
    )];
    if unknown > 0 {
        let since =
            if state.bought.is_empty() { String::new() } else { format!(" ({})", state.bought) };
        said.push(format!("{unknown} unknown since the purchase{since}"));
    }
    if overdue > 0 {
        said.push(format!("{overdue} overdue"));
    }
    let is_beyond = |worn: &&Worn| worn.state == Some(WearState::Beyond) && worn.before.is_none();
    let beyond = state.positions.iter().flat_map(|known| &known.wear).filter(is_beyond).count();
    if beyond > 0 {
        said.push(count(beyond, "reading past its limit", "readings past their limits"));
    }
    let good = overdue + beyond == 0;
    page.answer(&format!("{} on {}{hours}: {}", state.machine, state.as_of, said.join("; ")), good);
    for remark in &state.remarks {
        page.text(remark, "! ", "  ");
    }
    due(state, &mut page);
    wear(state, &mut page);
    superseded(state, &mut page);
    known(state, &mut page);
    unknown_by_assembly(state, &mut page);
    jobs(state, &mut page);
    page.into_text()
}

fn due(state: &State, page: &mut Page) {
    for (wanted, heading) in [
        (LifeState::Overdue, "Overdue"),
        (LifeState::Near, "Due soon"),
        (LifeState::NotKnown, "Has a life, but its age is not known"),
        (LifeState::Ok, "Not due yet"),
    ] {
        let of_state =
            |known: &&Known| known.life.as_ref().is_some_and(|life| life.state == wanted);
        let mut of_state = state.positions.iter().filter(of_state).peekable();
        if of_state.peek().is_none() {
            continue;
        }
        page.heading(heading);
        for known in of_state {
            let Some(life) = &known.life else { continue };
            page.text(&format!("{}: {}", named(known), life_text(life)), "  ", "    ");
        }
    }
}

fn wear(state: &State, page: &mut Page) {
    let mut worn = state
        .positions
        .iter()
        .flat_map(|known| known.wear.iter().map(move |worn| (known, worn)))
        .peekable();
    if worn.peek().is_none() {
        return;
    }
    page.heading("Wear, by the readings");
    for (known, worn) in worn {
        let says =
            if worn.says.is_empty() { "no limit is given".to_owned() } else { worn.says.clone() };
        let mark = if worn.state == Some(WearState::Beyond) && worn.before.is_none() {
            "! "
        } else {
            "  "
        };
        let text = format!(
            "{}, {}: {} on {}; {says}",
            known.position, worn.feature, worn.reading, worn.date
        );
        page.text(&text, mark, "    ");
        page.quiet(&trend_text(worn), "      ");
    }
}

fn superseded(state: &State, page: &mut Page) {
    let mut rows = state.positions.iter().filter(|known| !known.superseded.is_empty()).peekable();
    if rows.peek().is_none() {
        return;
    }
    page.heading("Replaced by a later number, still fitted");
    for known in rows {
        let by = if known.logged { "" } else { " (not in the log)" };
        for one in &known.superseded {
            let others = if one.with_others { ", and other parts change with it" } else { "" };
            let text = format!(
                "{}: {}, now {}{others}{by}",
                known.position,
                one.part,
                one.now.join(" and ")
            );
            page.text(&text, "  ", "    ");
        }
    }
}

fn known(state: &State, page: &mut Page) {
    let mut rows = state.positions.iter().filter(|known| known.logged).peekable();
    if rows.peek().is_none() {
        return;
    }
    page.heading("Known");
    for known in rows {
        let part = match known.part.as_deref() {
            None => "nothing: taken out".to_owned(),
            Some("") => "a part without a number".to_owned(),
            Some(part) => part.replace(';', ", "),
        };
        let since = known
            .fitted
            .as_ref()
            .map_or_else(|| "nobody knows when".to_owned(), |date| format!("since {date}"));
        let hours =
            known.hours.map_or_else(String::new, |hours| format!(" at {} hours", plain(hours)));
        let job = known.job.as_ref().map_or_else(String::new, |job| format!(", {job}"));
        page.text(&format!("{}: {part}, {since}{hours}{job}", known.position), "  ", "    ");
        page.quiet(known.last_look.as_deref().unwrap_or_default(), "      ");
    }
}

fn unknown_by_assembly(state: &State, page: &mut Page) {
    let rows: Vec<&Known> = state.positions.iter().filter(|known| !known.logged).collect();
    if rows.is_empty() {
        return;
    }
    page.heading("Not in the log: the tables list these parts");
    let mut assemblies: Vec<&str> = Vec::new();
    for known in &rows {
        if !assemblies.contains(&known.assembly.as_str()) {
            assemblies.push(&known.assembly);
        }
    }
    for assembly in assemblies {
        let of_it = rows.iter().filter(|known| known.assembly == assembly);
        let names: Vec<String> = of_it
            .map(|known| {
                if known.sure {
                    known.position.clone()
                } else {
                    format!("{} (if it has one)", known.position)
                }
            })
            .collect();
        let name = if assembly.is_empty() { "no assembly named" } else { assembly };
        page.text(&format!("{name}: {}", names.join(", ")), "  ", "    ");
    }
    page.quiet(&format!("kitwright state {} --unknown says where to begin.", state.machine), "  ");
}

fn jobs(state: &State, page: &mut Page) {
    if state.jobs_done.is_empty() {
        return;
    }
    page.heading("Jobs done");
    for job in &state.jobs_done {
        let date = if job.date.is_empty() { "no date" } else { &job.date };
        let hours = job.hours.map_or_else(String::new, |hours| format!(", {} hours", plain(hours)));
        let with = if job.options.is_empty() {
            String::new()
        } else {
            format!(" with {}", job.options.join(", "))
        };
        page.text(&format!("{date}: {}{with}{hours}", job.job), "  ", "    ");
        if !job.left_out.is_empty() {
            let left = job.left_out.join(", ");
            page.quiet(
                &format!(
                    "half done: left out {left}; kitwright kit {} --on {} --rest",
                    job.job, state.machine
                ),
                "      ",
            );
        }
    }
}

fn named(known: &Known) -> String {
    match known.part.as_deref() {
        Some(part) if !part.is_empty() => {
            format!("{} ({})", known.position, part.replace(';', ", "))
        }
        _ => known.position.clone(),
    }
}

fn plan_page(plan: &Plan) -> String {
    let mut page = Page::default();
    let machine = &plan.machine;
    if plan.unknown.is_empty() {
        page.answer(&format!("{machine}: the log says of every position what sits there"), true);
        return page.into_text();
    }
    let settled = plan.unknown.len() - plan.left.len();
    page.answer(
        &format!(
            "{machine}: {} unknown; {} would settle {settled}",
            count(plan.unknown.len(), "position", "positions"),
            count(plan.plan.len(), "job", "jobs")
        ),
        plan.left.is_empty(),
    );
    page.text(
        "In the order of most settled for each minute, every job by itself. A job settles what it renews; what only lies open with it goes back as it is, but its number can be read and logged.",
        "",
        "",
    );
    for (place, step) in plan.plan.iter().enumerate() {
        let untimed = if step.untimed == 0 {
            String::new()
        } else {
            format!(" and {} not timed", step.untimed)
        };
        let complete = if step.complete { "" } else { "; its kit is not complete yet" };
        let first = format!("{}. {}", place + 1, step.job);
        page.heading(&format!(
            "{first}: settles {}, about {} minutes{untimed}{complete}",
            step.settles.len(),
            plain(step.minutes)
        ));
        page.text(&step.settles.join(", "), "  ", "  ");
        if !step.also_open.is_empty() {
            page.quiet(&format!("lies open with it: {}", step.also_open.join(", ")), "  ");
        }
    }
    if !plan.left.is_empty() {
        page.heading("No job renews these; look, and log what you find");
        page.text(&plan.left.join(", "), "  ", "  ");
    }
    page.into_text()
}
