//! The command line: one file per command, and how things look to a person.
//!
//! Arguments become one plain value before any work begins; the work is done by the other rooms; a printer turns the
//! answer into text, JSON or CSV. Nothing here decides anything that another front end would need.

mod add;
mod add_arguments;
mod args;
mod ask;
mod change;
mod check;
mod columns;
mod completions;
mod draw;
#[cfg(test)]
mod faults;
mod find;
mod fits;
mod guide;
mod import;
mod jobs;
mod kit;
mod machines;
mod man;
mod measure;
mod opening;
mod order;
mod orders;
mod overview;
mod pager;
mod part;
mod passages;
mod printing;
mod proposal;
mod receive;
mod record;
mod share;
mod sheet;
mod size;
mod start;
mod state;
mod undo;
mod way_out;
mod while_in;
mod written;

use crate::catalog::Lookup;
use crate::desk::Refused;
use args::{Arguments, Command};
use clap::FromArgMatches as _;
use serde_json::{Value, json};
use std::ffi::OsString;
use std::io;

/// How a command ended, as its exit status says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// Done, and nothing stands open.
    Done = 0,
    /// Nothing was found.
    NotFound = 1,
    /// It could not be done.
    Refused = 2,
    /// Done, but the answer has gaps or warnings.
    Open = 3,
}

impl Ended {
    /// How a command ended that rests on a kit: with or without gaps. What is worth a second look changes no status.
    fn with(complete: bool) -> Ended {
        if complete { Ended::Done } else { Ended::Open }
    }
}

/// What a command prints, and how it ended.
#[derive(Debug)]
pub(crate) struct Answer {
    pub out: String,
    pub err: String,
    pub ended: Ended,
}

impl Answer {
    fn new(out: String, ended: Ended) -> Self {
        Answer { out, err: String::new(), ended }
    }

    fn refused(err: impl Into<String>) -> Self {
        Answer { out: String::new(), err: err.into(), ended: Ended::Refused }
    }

    /// Adds the rows that cannot be read to an answer for another program, unless it names them itself.
    fn naming_unread(mut self, lookup: &dyn Lookup) -> Self {
        const END: &str = "\n}\n";
        const KEY: &str = "\n  \"unread\": ";
        let is_object = self.out.starts_with("{\n") && self.out.ends_with(END);
        if !is_object || self.out.contains(KEY) {
            return self;
        }
        let rows = lookup.unread();
        let unread: Vec<Value> = rows
            .iter()
            .flat_map(|row| {
                let file = lookup.file(row.at).into_owned();
                row.faults.iter().map(move |fault| {
                    json!({ "file": file, "line": row.at.line, "column": fault.column, "code": fault.code, "message": fault.message })
                })
            })
            .collect();
        if let Ok(list) = serde_json::to_string_pretty(&unread) {
            self.out.truncate(self.out.len() - END.len());
            self.out.push_str(&format!(",{KEY}{}{END}", list.replace('\n', "\n  ")));
        }
        self
    }

    /// Puts notes before what goes to standard error.
    fn after(mut self, notes: &str) -> Self {
        self.err.insert_str(0, notes);
        self
    }
}

/// Runs the program with its arguments; the first is the program's own name. Gives the exit status.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> u8 {
    let arguments: Vec<OsString> = arguments.into_iter().collect();
    if completions::answer_the_shell(&arguments) {
        return Ended::Done as u8;
    }
    let parsed = args::command()
        .try_get_matches_from(find::with_any_words(arguments))
        .and_then(|matches| Arguments::from_arg_matches(&matches));
    let arguments = match parsed {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are answers; anything else is a refusal. A closed pipe is no error.
            if error.use_stderr() && error.to_string().contains(crate::measure::acts) {
                way_out::say(&error.to_string(), anstream::ColorChoice::Auto);
            } else {
                let _ = error.print();
            }
            return if error.use_stderr() { Ended::Refused as u8 } else { Ended::Done as u8 };
        }
    };
    let colour = arguments.colour();
    let answer = match answer(&arguments) {
        Ok(answer) => answer,
        Err(error) => Answer::refused(match error.downcast_ref::<Refused>() {
            Some(Refused::Faulty(faults)) => opening::faults(faults),
            _ => format!("error: {error:#}\n"),
        }),
    };
    let mut ended = answer.ended;
    if !answer.err.is_empty() {
        way_out::say(&answer.err, colour);
    } else if ended == Ended::Refused {
        way_out::say("error: nothing was written; the answer says why\n", colour);
    }
    let page_by_page = !arguments.no_pager && !arguments.json && ended != Ended::Refused;
    if page_by_page && pager::shown(&answer.out, colour) {
        return ended as u8;
    }
    if let Err(error) = way_out::answer(&answer.out, colour, arguments.json)
        && error.kind() != io::ErrorKind::BrokenPipe
    {
        let written = match crate::desk::open::has_written() {
            true => "; what was asked for is written all the same",
            false => "",
        };
        way_out::say(
            &format!("error: the answer could not be printed: {error}{written}\n"),
            colour,
        );
        ended = Ended::Refused;
    }
    ended as u8
}

fn answer(arguments: &Arguments) -> anyhow::Result<Answer> {
    let (catalog, json) = (&arguments.catalog, arguments.json);
    let Some(command) = &arguments.command else { return overview::run(catalog, json) };
    match command {
        Command::Machines(ask) => machines::run(catalog, ask, json),
        Command::Jobs(ask) => jobs::run(catalog, ask, json),
        Command::Find(ask) => find::run(catalog, ask, json),
        Command::Part(ask) => part::run(catalog, ask, json),
        Command::State(ask) => state::run(catalog, ask, json),
        Command::Kit(ask) => kit::run(catalog, ask, json),
        Command::Fits(ask) => fits::run(catalog, ask, json),
        Command::WhileIn(ask) => while_in::run(catalog, ask, json),
        Command::Sheet(ask) => sheet::run(catalog, ask, json),
        Command::Draw(ask) => draw::run(catalog, ask, json),
        Command::Order(ask) => order::run(catalog, ask, json),
        Command::Orders(ask) => orders::run(catalog, ask, json),
        Command::Receive(ask) => receive::run(catalog, ask, json),
        Command::Measure(ask) => measure::run(catalog, ask, json),
        Command::Size(ask) => size::run(ask, json),
        Command::Record(ask) => record::run(catalog, ask, json),
        Command::Start(ask) => start::run(ask, json),
        Command::Add(ask) => add::run(catalog, ask, json),
        Command::Change(ask) => change::run_set(catalog, ask, json),
        Command::Remove(ask) => change::run_remove(catalog, ask, json),
        Command::Rename(ask) => change::run_rename(catalog, ask, json),
        Command::Undo(ask) => undo::run(catalog, ask, json),
        Command::Check(ask) => check::run(catalog, ask, json),
        Command::Columns(ask) => columns::run(ask, json),
        Command::Import(ask) => import::run(catalog, ask, json),
        Command::Share(ask) => share::run(catalog, ask, json),
        Command::Guide(ask) => guide::run(ask, json),
        Command::Completions(ask) => completions::run(ask),
        Command::Man(ask) => man::run(ask),
        Command::Near(ask) => find::run_near(catalog, ask, json),
        Command::Symptom(ask) => jobs::run_symptom(catalog, ask, json),
    }
}
