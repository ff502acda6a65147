//! The command line: one file per command, and how things look to a person.
//!
//! Arguments become one plain value before any work begins; the work is done by the other rooms; a printer turns the
//! answer into text, JSON or CSV. Nothing here decides anything that another front end would need.

mod add;
mod add_arguments;
mod also;
mod args;
mod ask;
mod change;
mod check;
mod completions;
#[cfg(test)]
mod faults;
mod find;
mod fits;
mod guide;
mod import_folder;
mod import_list;
mod kit;
mod man;
mod measure;
mod near;
mod opening;
mod options;
mod order;
mod page;
mod part;
mod proposal;
mod receive;
mod record;
mod share;
mod sheet;
mod size;
mod start;
mod state;
mod symptom;
mod tables;
mod undo;
mod waiting;
mod way_in;
mod way_out;
mod written;

use crate::catalog::Lookup;
use crate::desk::Refused;
use args::{Arguments, Command};
use clap::Parser;
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
    let arguments = match Arguments::try_parse_from(args::with_any_words(arguments)) {
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
    let json = arguments.json;
    match &arguments.command {
        Command::Kit(ask) => kit::run(&arguments.catalog, ask, json),
        Command::Check(ask) => check::run(&arguments.catalog, ask, json),
        Command::Part(ask) => part::run(&arguments.catalog, ask, json),
        Command::Fits(ask) => fits::run(&arguments.catalog, ask, json),
        Command::Measure(ask) => measure::run(&arguments.catalog, ask, json),
        Command::Size(ask) => size::run(ask, json),
        Command::Order(ask) => order::run(&arguments.catalog, ask, json),
        Command::Receive(ask) => receive::run(&arguments.catalog, ask, json),
        Command::Waiting(ask) => waiting::run(&arguments.catalog, ask, json),
        Command::Undo(ask) => undo::run(&arguments.catalog, ask, json),
        Command::Record(ask) => record::run(&arguments.catalog, ask, json),
        Command::State(ask) => state::run(&arguments.catalog, ask, json),
        Command::Symptom(ask) => symptom::run(&arguments.catalog, ask, json),
        Command::Find(ask) => find::run(&arguments.catalog, ask, json),
        Command::Near(ask) => near::run(&arguments.catalog, ask, json),
        Command::Set(ask) => change::run_set(&arguments.catalog, ask, json),
        Command::Remove(ask) => change::run_remove(&arguments.catalog, ask, json),
        Command::Rename(ask) => change::run_rename(&arguments.catalog, ask, json),
        Command::Share(ask) => share::run(&arguments.catalog, ask, json),
        Command::Import(ask) if ask.list.into.is_some() || ask.from.is_file() => {
            import_list::run(&arguments.catalog, &ask.from, &ask.list, ask.consent, json)
        }
        Command::Import(ask) => {
            import_folder::run(&arguments.catalog, &ask.from, &ask.choices, ask.consent, json)
        }
        Command::Completions(ask) => completions::run(ask),
        Command::Man(ask) => man::run(ask),
        Command::Add(ask) => add::run(&arguments.catalog, ask, json),
        Command::Start(ask) => start::run(ask, json),
        Command::Sheet(ask) => sheet::run(&arguments.catalog, ask, json),
        Command::Also(ask) => also::run(&arguments.catalog, ask, json),
        Command::WayIn(ask) => way_in::run(&arguments.catalog, ask, json),
        Command::Tables(ask) => tables::run(ask, json),
        Command::Guide(ask) => guide::run(ask, json),
    }
}
