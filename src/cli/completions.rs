//! The command `completions`, and the answers to a shell that completes a line.
//!
//! The shell asks the program itself at each press of the key, so that names come from the tables as they are. Only the
//! files of the tables in question are read, nothing is written, and whatever goes wrong there is no completion, for
//! a message would land in the middle of the line that somebody types.

use super::args::{Arguments, Catalog, UseIndex};
use super::opening::find;
use super::{Answer, Ended};
use crate::catalog::{Column, Form, Rows, Table, Thing, names_in};
use crate::measure::{Key, acts};
use crate::tables::{self, TextRow, TextSheet, definition};
use clap::{Args, CommandFactory as _, ValueEnum};
use clap_complete::CompleteEnv;
use clap_complete::engine::{ArgValueCompleter, CompletionCandidate};
use clap_complete::env::{Bash, EnvCompleter, Fish, Zsh};
use std::collections::HashSet;
use std::ffi::{OsStr, OsString};
use std::path::PathBuf;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright completions bash
  kitwright completions zsh
  kitwright completions fish

To have it in every shell, put one of these lines into its start file:
  ~/.bashrc                    source <(kitwright completions bash)
  ~/.zshrc, below compinit     source <(kitwright completions zsh)
  ~/.config/fish/config.fish   kitwright completions fish | source")]
pub(crate) struct CompletionsAsk {
    /// The shell.
    #[arg(value_name = "SHELL", value_enum)]
    pub shell: Shell,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
pub(crate) enum Shell {
    Bash,
    Zsh,
    Fish,
}

/// Set by the shell while it asks.
const ASKED: &str = "KITWRIGHT_COMPLETE";

/// More than a screen of names helps nobody; another letter narrows them.
const MOST: usize = 500;

pub(crate) fn run(ask: &CompletionsAsk) -> anyhow::Result<Answer> {
    let shell: &dyn EnvCompleter = match ask.shell {
        Shell::Bash => &Bash,
        Shell::Zsh => &Zsh,
        Shell::Fish => &Fish,
    };
    let mut script = Vec::new();
    shell.write_registration(ASKED, "kitwright", "kitwright", "kitwright", &mut script)?;
    Ok(Answer::new(String::from_utf8_lossy(&script).into_owned(), Ended::Done))
}

/// Answers a shell that completes a line; `false` where none asks.
pub(crate) fn answer_the_shell(arguments: &[OsString]) -> bool {
    if std::env::var_os(ASKED).is_none_or(|shell| shell.is_empty()) {
        return false;
    }
    let here = std::env::current_dir().ok();
    // The answer takes the variable away before names are asked for.
    let bash = std::env::var_os(ASKED).is_some_and(|shell| shell == "bash");
    let _ = CompleteEnv::with_factory(|| command(bash))
        .var(ASKED)
        .try_complete(arguments.iter().cloned(), here.as_deref());
    true
}

/// The arguments, each with the names that can stand there: the name of its value tells which.
fn command(bash: bool) -> clap::Command {
    Arguments::command().mut_subcommands(|command| {
        command.mut_args(|argument| {
            let name =
                argument.get_value_names().and_then(|names| names.first()).map(ToString::to_string);
            let Some(kind) = name.as_deref().and_then(Kind::of) else { return argument };
            argument.add(ArgValueCompleter::new(move |typed: &OsStr| candidates(kind, typed, bash)))
        })
    })
}

/// What can stand at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Thing(Thing),
    /// A position, and an `=` behind it.
    PositionAnd,
    /// A part, and an `=` behind it.
    PartAnd,
    Table,
    /// What the table named before it is about.
    KeyOfTable,
    /// A column of the table named before it, and an `=` behind it.
    ColumnOfTable,
    What,
    /// What the word before it names.
    NameOfWhat,
    Feature,
}

impl Kind {
    fn of(value_name: &str) -> Option<Kind> {
        Some(match value_name {
            "JOB" | "JOB[@MACHINE]" => Kind::Thing(Thing::Job),
            "MACHINE" => Kind::Thing(Thing::Machine),
            "POSITION" => Kind::Thing(Thing::Position),
            "PART" | "NUMBER" => Kind::Thing(Thing::Part),
            "OPERATION" => Kind::Thing(Thing::Operation),
            "SUPPLIER" => Kind::Thing(Thing::Supplier),
            "ORDER" => Kind::Thing(Thing::Order),
            "OPTION" => Kind::Thing(Thing::Option),
            "JOINT" => Kind::Thing(Thing::Joint),
            "MODEL" => Kind::Thing(Thing::Model),
            "POSITION=PART" => Kind::PositionAnd,
            "PART=QTY" | "PART[=QTY]" => Kind::PartAnd,
            "TABLE" => Kind::Table,
            "KEY" => Kind::KeyOfTable,
            "COLUMN=VALUE" => Kind::ColumnOfTable,
            "WHAT" => Kind::What,
            "OLD" => Kind::NameOfWhat,
            "FEATURE" => Kind::Feature,
            _ => return None,
        })
    }
}

/// A name, what it means in words, and what follows it.
type Candidate = (String, String);

fn candidates(kind: Kind, typed: &OsStr, bash: bool) -> Vec<CompletionCandidate> {
    let typed = meant(&typed.to_string_lossy());
    let begun = begins(&typed);
    let mut seen = HashSet::new();
    listed(kind)
        .into_iter()
        .filter(|(name, _)| begun(name) && seen.insert(name.clone()))
        .take(MOST)
        .map(|(name, about)| {
            let help = (!about.is_empty())
                .then(|| about.chars().filter(|c| !acts(*c) && *c != '\n').collect::<String>());
            let name = if bash { escaped(&name) } else { name };
            CompletionCandidate::new(name).help(help.map(Into::into))
        })
        .collect()
}

/// What a shell means by a word that is not finished: `TV\ 77` or `'TV 77`.
fn meant(typed: &str) -> String {
    let plain = typed.strip_prefix(['"', '\'']).unwrap_or(typed);
    let mut text = String::with_capacity(plain.len());
    let mut chars = plain.chars();
    while let Some(c) = chars.next() {
        text.extend(if c == '\\' { chars.next() } else { Some(c) });
    }
    text
}

/// Bash takes a completion as it is, so what parts words there must be escaped; the other shells do that themselves.
fn escaped(name: &str) -> String {
    let plain = |c: char| {
        c.is_alphanumeric()
            || matches!(c, '-' | '_' | '.' | '/' | '=' | '+' | ',' | '@' | '%' | ':')
    };
    name.chars().flat_map(|c| (!plain(c)).then_some('\\').into_iter().chain([c])).collect()
}

/// Names begin with what is typed whatever the case.
fn begins(typed: &str) -> impl Fn(&str) -> bool {
    let wanted = Key::new(typed).folded().to_owned();
    move |name| {
        !name.contains(|c| acts(c) || c == '\n') && Key::new(name).folded().starts_with(&wanted)
    }
}

fn listed(kind: Kind) -> Vec<Candidate> {
    let and = |names: Vec<Candidate>| {
        names.into_iter().map(|(name, about)| (format!("{name}="), about)).collect()
    };
    match kind {
        Kind::Thing(thing) => named(thing),
        Kind::PositionAnd => and(named(Thing::Position)),
        Kind::PartAnd => and(named(Thing::Part)),
        Kind::Table => Rows::dictionary()
            .iter()
            .map(|table| (table.name.to_owned(), table.about.to_owned()))
            .collect(),
        Kind::What => {
            Thing::ALL.iter().map(|thing| (thing.word().to_owned(), String::new())).collect()
        }
        Kind::KeyOfTable => {
            let table =
                word_behind(&["change", "set", "remove"]).unwrap_or_default().to_lowercase();
            let table = Table::of(&table);
            let called = table.and_then(|table| table.column(table.called_by().first()?));
            match called.map(|column| (column.name, column.names.first())) {
                Some((_, Some((thing, _)))) => named(*thing),
                Some((column, None)) => cells_of(table.map_or("", |table| table.name), column),
                None => Vec::new(),
            }
        }
        Kind::ColumnOfTable => {
            let table =
                word_behind(&["change", "set", "remove"]).unwrap_or_default().to_lowercase();
            let columns = definition(&table).map_or(&[][..], |table| &table.columns);
            columns
                .iter()
                .map(|column| (format!("{}=", column.name), column.about.to_owned()))
                .collect()
        }
        Kind::NameOfWhat => word_behind(&["rename"])
            .and_then(|word| Thing::from_word(&word))
            .map(named)
            .unwrap_or_default(),
        Kind::Feature => cells_of("seats", "feature"),
    }
}

/// The names of a kind: those that have a row, in table order, each with what it is called in words or belongs to; then
/// those that are there by being named.
fn named(thing: Thing) -> Vec<Candidate> {
    let mut giving: Vec<_> =
        thing.columns_that_give().filter(|(_, column)| !column.says.also).collect();
    giving.sort_by_key(|(table, column)| Some((*table, column.name)) != thing.home());
    let mut candidates = Vec::new();
    for (table, column) in giving {
        let about = Table::of(table)
            .filter(|_| Some((table, column.name)) == thing.home())
            .and_then(told_by)
            .unwrap_or_default();
        for row in rows_of(table) {
            let cell = row.cell(column.name);
            let forms = column.forms(thing);
            let names = forms.flat_map(|form| names_in(cell, form)).map(|name| &cell[name]);
            candidates.extend(names.map(|name| (name.to_owned(), row.cell(about).to_owned())));
        }
    }
    candidates
}

fn cells_of(table: &str, column: &str) -> Vec<Candidate> {
    rows_of(table).iter().map(|row| (row.cell(column).to_owned(), String::new())).collect()
}

/// The column that tells most of what a row is: its name in words, else what it belongs to.
fn told_by(table: &Table) -> Option<&'static str> {
    let belongs = |column: &&Column| {
        column.required
            && !column.says.gives
            && column.names.iter().any(|(_, form)| *form == Form::One)
    };
    let column = table.column("name").or_else(|| table.columns.iter().find(belongs));
    column.map(|column| column.name)
}

/// Reads the rows of a table as far as they can be read.
fn rows_of(table: &str) -> Vec<TextRow> {
    let folder = find(&Catalog { folder: catalog_named(), index: UseIndex::Never })
        .ok()
        .and_then(|root| tables::find(&root).ok());
    let files = folder.map(|folder| folder.files).unwrap_or_default().into_iter();
    let of_table = files.filter(|file| file.table == table);
    let sheets = of_table.filter_map(|file| TextSheet::of(&file, &std::fs::read(&file.path).ok()?));
    sheets.flat_map(|sheet| sheet.rows).collect()
}

/// The words of the line that is being completed: they stand behind `--`.
fn words() -> Vec<String> {
    let arguments = std::env::args_os().map(|word| word.to_string_lossy().into_owned());
    arguments.skip_while(|word| word != "--").skip(1).collect()
}

/// The folder that the line names, else the environment.
fn catalog_named() -> Option<PathBuf> {
    let words = words();
    let mut named = None;
    for (index, word) in words.iter().enumerate() {
        let value = if word == "-C" || word == "--catalog" {
            words.get(index + 1).map(String::as_str)
        } else {
            word.strip_prefix("--catalog=").or(word.strip_prefix("-C"))
        };
        named = value.filter(|value| !value.is_empty()).map(unquoted).or(named);
    }
    named.or_else(|| std::env::var_os("KITWRIGHT_CATALOG").map(PathBuf::from))
}

/// The home folder is written `~` where the shell has not looked at the word yet.
fn unquoted(word: &str) -> PathBuf {
    let word = word.trim_matches(['\'', '"']);
    match (word.strip_prefix("~/"), std::env::var_os("HOME")) {
        (Some(rest), Some(home)) => PathBuf::from(home).join(rest),
        _ => PathBuf::from(word),
    }
}

/// The first word behind a command that is no option.
fn word_behind(commands: &[&str]) -> Option<String> {
    let words = words();
    let at = words.iter().position(|word| commands.contains(&word.as_str()))?;
    words.into_iter().skip(at + 1).find(|word| !word.starts_with('-'))
}
