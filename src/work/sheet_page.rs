//! The bench sheet as one self-contained page: to print on A4 or Letter in black and white, or to read on a phone.
//!
//! Every text goes in escaped, and the page asks for nothing from outside: no font, no picture, no script.

use super::sheet::{
    Fate, Fit, Item, Reading, RefitStep, Sheet, SheetCaution, StripStep, Tightening, Touched,
};
use super::tightening;
use crate::kit::Role;
use crate::measure::printable;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// How the page looks. Sizes are for reading at a metre: what one looks for is set large and bold. Nothing is said by
/// colour alone.
const STYLE: &str = include_str!("sheet.css");

/// Writes the page. `way_in` is a picture of the way in, as SVG; blank leaves it out.
pub fn page(sheet: &Sheet, way_in: &str) -> String {
    let title = format!("{} on {}", sheet.title, sheet.machine.machine);
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (head(sheet))
                (open(sheet))
                (cautions(sheet))
                (lay_out(sheet))
                (tools(sheet, way_in))
                (strip(sheet))
                (readings(sheet))
                (refit(sheet))
                (afterwards(sheet))
                (record(sheet))
                footer {
                    p {
                        "The maker's manual for the " b { (sheet.machine.model) }
                        ", local rules and licensed practice come before this sheet. Torques and fits are a guide only."
                    }
                    p.small { "Torques: " (tightening::SOURCE) "; the figure in the maker's own unit rules." }
                }
            }
        }
    };
    printable(&markup.into_string()).into_owned()
}

fn head(sheet: &Sheet) -> Markup {
    let machine = &sheet.machine;
    let unknown =
        |text: &str| if text.is_empty() { "not known".to_owned() } else { text.to_owned() };
    html! {
        header {
            h1 { (sheet.title) " on " (machine.machine) }
            @for job in sheet.jobs.iter().filter(|job| !job.name.is_empty()) { p.lead { (job.name) } }
            dl.facts {
                div { dt { "Model" } dd { (machine.model) } }
                div { dt { "Year" } dd { (unknown(&machine.year)) } }
                div { dt { "Serial" } dd { (unknown(&machine.serial)) } }
                div { dt { "Hours" } dd { (unknown(&machine.hours)) } }
                @if !machine.traits.is_empty() { div { dt { "Traits" } dd { (machine.traits.join(", ")) } } }
                @if !sheet.options.is_empty() { div { dt { "With" } dd { (sheet.options.join(", ")) } } }
                div { dt { "Sheet of" } dd { (sheet.date) } }
                div { dt { "Work" } dd { (work(sheet)) } }
            }
        }
    }
}

fn work(sheet: &Sheet) -> String {
    let mut said = match sheet.strip.len() {
        0 => "no step is named".to_owned(),
        1 => "1 step".to_owned(),
        many => format!("{many} steps"),
    };
    if !sheet.minutes.is_empty() {
        said.push_str(&format!(", about {} min", sheet.minutes));
    }
    if sheet.untimed > 0 {
        said.push_str(&format!(", {} not timed", sheet.untimed));
    }
    said
}

/// What stands open comes first and loud: nobody should strip a machine for a kit that is not complete.
fn open(sheet: &Sheet) -> Markup {
    let many = sheet.gaps.len();
    html! {
        @if !sheet.complete {
            section.alarm {
                h2 { "NOT COMPLETE: " (many) @if many == 1 { " thing stands open" } @else { " things stand open" } }
                p { "Settle these before anything is taken apart." }
                ul.list {
                    @for gap in &sheet.gaps {
                        li { (tick()) div { b { (gap.kind) ": " (gap.subject) } p { (gap.message) } } }
                    }
                }
            }
        }
        @if !sheet.doubts.is_empty() {
            section.alarm {
                h2 { "LOOK AGAIN" }
                ul.list { @for doubt in &sheet.doubts { li { (tick()) div { (doubt) } } } }
            }
        }
        @if sheet.complete { p.whole { "Kit complete for what the tables say." } }
    }
}

/// Each caution is told in full at the first step that it belongs to, where a person needs it; here are their names, so
/// that none comes as a surprise, and the text of those that belong to no step.
fn cautions(sheet: &Sheet) -> Markup {
    let (at_steps, at_none): (Vec<&SheetCaution>, Vec<&SheetCaution>) =
        sheet.cautions.iter().partition(|caution| !caution.steps.is_empty());
    html! {
        @if !at_steps.is_empty() {
            p.ahead {
                "Cautions ahead, told at the step: "
                @for (place, caution) in at_steps.iter().enumerate() {
                    @if place > 0 { ", " }
                    b { (caution.caution) } " (" (step_numbers(&caution.steps)) ")"
                }
            }
        }
        @for caution in at_none { p.caution { b { "! " (caution.caution) ": " } (caution_text(caution)) } }
    }
}

fn step_numbers(steps: &[usize]) -> String {
    let numbers: Vec<String> = steps.iter().map(ToString::to_string).collect();
    format!("{} {}", if steps.len() == 1 { "step" } else { "steps" }, numbers.join(", "))
}

fn caution_text(caution: &SheetCaution) -> &str {
    if caution.text.is_empty() {
        "The table cautions has no such row: see the maker's manual."
    } else {
        &caution.text
    }
}

/// A box to tick, on paper or on a screen.
fn tick() -> Markup {
    html! { input.tick type="checkbox" aria-label="done"; }
}

fn lay_out(sheet: &Sheet) -> Markup {
    let headings = [
        (Role::New, "What the job asks for"),
        (Role::Companion, "What must change with it"),
        (Role::SingleUse, "Used up by taking it apart"),
        (Role::Consumable, "Used up by the work"),
    ];
    html! {
        section {
            h2 { "Lay out" }
            @if sheet.lay_out.is_empty() { p { "This kit has nothing to lay out." } }
            @for (role, heading) in headings {
                @let items: Vec<&Item> = sheet.lay_out.iter().filter(|item| item.role == role).collect();
                @if !items.is_empty() {
                    h3 { (heading) }
                    ul.kit { @for item in items { (laid_out(item)) } }
                }
            }
            @if !sheet.arriving.is_empty() {
                h3 { "Comes with the parts above: see that it is there" }
                ul.kit {
                    @for arriving in &sheet.arriving {
                        li {
                            (tick())
                            div.amount {}
                            div.what { b.number { (arriving.part) } " " (place(&arriving.position, &arriving.name)) }
                            div.lies { b { (arriving.inside.join(", ")) } }
                        }
                    }
                }
            }
            @if !sheet.if_worn.is_empty() {
                h3 { "Have ready, or know where to get it, if the old one is worn" }
                ul.kit {
                    @for ready in &sheet.if_worn {
                        li {
                            (tick())
                            div.amount { (ready.amount) }
                            div.what {
                                b.number { (ready.part) } " " (ready.what)
                                span.goes { "for " (ready.position) }
                            }
                            div.lies {
                                @if ready.lies.is_empty() { "not on the shelf" } @else { b { (ready.lies.join("; ")) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn laid_out(item: &Item) -> Markup {
    html! {
        li {
            (tick())
            div.amount { (item.amount) }
            div.what {
                b.number { (item.part) } " " (item.what)
                @if !item.replaces.is_empty() { " (was " (item.replaces.join(", ")) ")" }
                @if !item.positions.is_empty() { span.goes { "for " (item.positions.join(", ")) } }
                @if !item.open.is_empty() { span.goes { b { "open: " (item.open.join(", ")) } } }
            }
            div.lies {
                @for (index, lies) in item.lies.iter().enumerate() {
                    @if index > 0 { br; }
                    @if lies.starts_with("to buy") { b.buy { (lies) } } @else { b { (lies) } }
                }
            }
        }
    }
}

/// A position by its name in words, with its key.
fn place(position: &str, name: &str) -> Markup {
    html! {
        @if name.is_empty() { (position) } @else { (name) span.goes { (position) } }
    }
}

fn tools(sheet: &Sheet, way_in: &str) -> Markup {
    html! {
        @if !sheet.tools.is_empty() || !way_in.is_empty() {
            div.beside {
                @if !sheet.tools.is_empty() {
                    section {
                        h2 { "Tools" }
                        ul.tools { @for tool in &sheet.tools { li { (tick()) div { (tool) } } } }
                    }
                }
                @if !way_in.is_empty() { figure.way-in { (PreEscaped(way_in)) } }
            }
        }
    }
}

fn strip(sheet: &Sheet) -> Markup {
    html! {
        section {
            h2 { "Strip" }
            @if sheet.strip.is_empty() { p { "The tables name no operation for this." } }
            @for step in &sheet.strip { (strip_step(step, sheet)) }
            @if !sheet.at_no_step.is_empty() {
                div.step {
                    h3 { "At no step that the tables name" }
                    p { "These are part of the work, but no operation here opens or removes them." }
                    (touched_list(&sheet.at_no_step))
                }
            }
        }
    }
}

fn strip_step(step: &StripStep, sheet: &Sheet) -> Markup {
    html! {
        div.step.long[step.touched.len() > MANY] {
            div.top {
            h3 {
                span.no { (step.number) }
                span.title { (title(&step.name, &step.operation)) }
                (tick())
            }
            p.under {
                (step.operation)
                @if step.minutes.is_empty() { " · not timed" } @else { " · " (step.minutes) " min there and back" }
                @if !step.tools.is_empty() { " · " b { (step.tools.join(", ")) } }
            }
            (step_cautions(&step.cautions, step.number, sheet))
            @if !step.how.is_empty() { p.how { (step.how) } }
            @if !step.opens.is_empty() { p.opens { "Opens " b { (step.opens.join(", ")) } } }
            }
            div.groups[step.touched.len() > FEW] { (touched_list(&step.touched)) }
        }
    }
}

/// So many items stand one below the other; more are set in two columns.
const FEW: usize = 3;

/// A step of more items than this may be broken across pages between its lists, so that no page is left half empty.
const MANY: usize = 9;

fn title<'t>(name: &'t str, key: &'t str) -> &'t str {
    if name.is_empty() { key } else { name }
}

/// A caution is told in full where it is met first, and by its name after that.
fn step_cautions(names: &[String], step: usize, sheet: &Sheet) -> Markup {
    let told = names.iter().filter_map(|name| {
        let caution =
            sheet.cautions.iter().find(|caution| caution.caution.eq_ignore_ascii_case(name));
        caution.or_else(|| {
            sheet
                .cautions
                .iter()
                .find(|caution| caution.caution.to_lowercase() == name.to_lowercase())
        })
    });
    html! {
        @for caution in told {
            p.caution {
                b { "! " (caution.caution) ": " }
                @match caution.steps.first() {
                    Some(first) if *first == step => (caution_text(caution)),
                    Some(first) => { "as at step " (first) },
                    None => (caution_text(caution)),
                }
            }
        }
    }
}

fn touched_list(touched: &[Touched]) -> Markup {
    let fates = [
        (Fate::UsedUp, "Used up: do not use it again"),
        (Fate::Replaced, "Comes off: a new one is laid out"),
        (Fate::LeftOut, "Comes off for good, or stays empty"),
        (Fate::Looked, "Look at it or measure it"),
        (Fate::Reused, "Single-use, but goes back in on your own word"),
        (Fate::Kept, "Keep in order: it goes back where it was"),
    ];
    html! {
        @for (fate, heading) in fates {
            @let of_fate: Vec<&Touched> = touched.iter().filter(|touched| touched.fate == fate).collect();
            @if !of_fate.is_empty() {
                div.part {
                    p.fate { (heading) }
                    ul.list.many[of_fate.len() > FEW] {
                        @for touched in of_fate { li { (tick()) div { (touched_line(touched)) } } }
                    }
                }
            }
        }
    }
}

fn touched_line(touched: &Touched) -> Markup {
    html! {
        @if !touched.amount.is_empty() { b { (touched.amount) " × " } }
        (title(&touched.name, &touched.position))
        " "
        @match touched.current.as_deref() {
            None => "(nothing is there: leave it empty)",
            Some("") => "(part not looked up)",
            Some(current) => b.number { (current) },
        }
        span.goes {
            (touched.position)
            @if !touched.figure.is_empty() { ", drawing " (touched.figure) }
            @if !touched.note.is_empty() { "; " (touched.note) }
        }
    }
}

fn readings(sheet: &Sheet) -> Markup {
    html! {
        @if !sheet.readings.is_empty() {
            section {
                h2 { "Measure and look while it is apart" }
                ul.readings { @for reading in &sheet.readings { (one_reading(reading)) } }
            }
        }
    }
}

fn one_reading(reading: &Reading) -> Markup {
    html! {
        li {
            div.what {
                b { (title(&reading.name, &reading.position)) @if !reading.feature.is_empty() { ": " (reading.feature) } }
                span.goes {
                    (reading.position)
                    @if let Some(step) = reading.step { ", open at step " (step) }
                }
                p {
                    @if !reading.new.is_empty() { "new " (reading.new) "; " }
                    b { (reading.limits) }
                }
                p {
                    "last reading: "
                    @if reading.last.is_empty() { "none" } @else { (reading.last) }
                }
            }
            div.write {
                @if reading.feature.is_empty() { "found:" } @else { "reads now:" }
            }
            div.verdict { span { (tick()) " good" } span { (tick()) " worn" } }
        }
    }
}

fn refit(sheet: &Sheet) -> Markup {
    html! {
        section {
            h2 { "Refit" }
            @if !sheet.fits_at_no_step.is_empty() || !sheet.torques_at_no_step.is_empty() {
                div.step {
                    h3 { "At no step that the tables name" }
                    (fits(&sheet.fits_at_no_step))
                    (torques(&sheet.torques_at_no_step))
                }
            }
            @for step in &sheet.refit { (refit_step(step)) }
        }
    }
}

fn afterwards(sheet: &Sheet) -> Markup {
    html! {
        @if !sheet.afterwards.is_empty() {
            section {
                h2 { "Once it is together again" }
                @for step in &sheet.afterwards {
                    div.step {
                        h3 {
                            span.no { (step.number) }
                            span.title { (title(&step.name, &step.operation)) }
                            (tick())
                        }
                        p.under {
                            (step.operation) " · logged with --done " (step.operation)
                            @if !step.tools.is_empty() { " · " b { (step.tools.join(", ")) } }
                        }
                        @if !step.cautions.is_empty() {
                            p.caution { b { "! " (step.cautions.join(", ")) } }
                        }
                        @if !step.how.is_empty() { p.how { (step.how) } }
                        @if !step.uses.is_empty() {
                            ul.list {
                                @for used in &step.uses {
                                    li { (tick()) div { b { (used.amount) } " " (used.what) " " b.number { (used.part) } } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn refit_step(step: &RefitStep) -> Markup {
    html! {
        @let items = step.fits.len() + step.uses.len() + step.returns.len();
        div.step.long[items + step.torques.len() > MANY] {
            div.top {
            h3 {
                span.no { (step.number) }
                span.title { "Back from: " (title(&step.name, &step.operation)) }
                (tick())
            }
            p.under {
                (step.operation) " · undoes strip step " (step.undoes)
                @if !step.tools.is_empty() { " · " b { (step.tools.join(", ")) } }
            }
            @if !step.cautions.is_empty() {
                p.caution { b { "! " (step.cautions.join(", ")) } ": as at strip step " (step.undoes) }
            }
            @if !step.how.is_empty() { p.how { (step.how) } }
            }
            div.groups[items > FEW] {
                (fits(&step.fits))
                @if !step.uses.is_empty() {
                    div.part {
                        p.fate { "Use" }
                        ul.list.many[step.uses.len() > FEW] {
                            @for used in &step.uses {
                                li { (tick()) div { b { (used.amount) } " " (used.what) " " b.number { (used.part) } } }
                            }
                        }
                    }
                }
                @if !step.returns.is_empty() {
                    div.part {
                        p.fate { "Goes back" }
                        ul.list.many[step.returns.len() > FEW] {
                            @for touched in &step.returns { li { (tick()) div { (touched_line(touched)) } } }
                        }
                    }
                }
            }
            (torques(&step.torques))
        }
    }
}

fn fits(fits: &[Fit]) -> Markup {
    html! {
        @if !fits.is_empty() {
            div.part {
            p.fate { "New" }
            ul.list.many[fits.len() > FEW] {
                @for fit in fits {
                    li {
                        (tick())
                        div {
                            @if fit.parts.is_empty() {
                                b { "part not known: see what stands open" }
                            } @else {
                                b.number { (fit.parts.join(", ")) }
                            }
                            " " (title(&fit.name, &fit.position))
                            @if !fit.inside.is_empty() { " (comes with: " (fit.inside.join(", ")) ")" }
                            span.goes {
                                (fit.position)
                                @if !fit.note.is_empty() { "; " (fit.note) }
                            }
                        }
                    }
                }
            }
            }
        }
    }
}

fn torques(torques: &[Tightening]) -> Markup {
    html! {
        @if !torques.is_empty() {
            div.part {
            p.fate { "Tighten" }
            ul.list {
                @for torque in torques {
                    li {
                        (tick())
                        div {
                            @if !torque.amount.is_empty() { b { (torque.amount) " × " } }
                            (title(&torque.name, &torque.position)) ": "
                            @if torque.stages.is_empty() {
                                b { "torque: not in the catalog, see the maker's manual" }
                            } @else {
                                b.torque { (tightening::words(&torque.stages)) }
                            }
                            @for remark in &torque.remarks { p { "! " (remark) } }
                            span.goes {
                                (torque.position)
                                @if !torque.from.is_empty() { ", by " (torque.from) }
                            }
                        }
                    }
                }
            }
            }
        }
    }
}

fn record(sheet: &Sheet) -> Markup {
    let renewed = sheet.refit.iter().flat_map(|step| &step.fits).chain(&sheet.fits_at_no_step);
    let renewed: Vec<&str> = renewed.map(|fit| fit.position.as_str()).collect();
    html! {
        section.record {
            h2 { "Write down afterwards" }
            div.blanks {
                div { "Date" }
                div { "Hours run" }
                div { "Done by" }
            }
            div.blanks.wide {
                div { "What was found" }
                div { "What was not done, or done otherwise (position, part)" }
                div { "What to look at next time" }
            }
            @if !renewed.is_empty() {
                p { "New, for the log: " b { (renewed.join(", ")) } }
            }
            p { "Then, where your tables are:" }
            p.command { (sheet.record) " --date ________ --hours ____" }
            @if sheet.readings.iter().any(|reading| !reading.feature.is_empty()) {
                p.command { "kitwright measure " (sheet.machine.machine) " POSITION 'FEATURE' READING" }
            }
        }
    }
}
