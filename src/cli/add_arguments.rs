//! The arguments of `add`: a table has its own columns, so each column of any table is an option.

use super::proposal::Consent;
use crate::catalog::Rows;
use crate::desk::adding::{Typed, TypedJob, TypedJoint};
use crate::entry::ROLES;
use clap::{Arg, ArgAction, ArgMatches, Args, Command, FromArgMatches};
use std::collections::BTreeSet;

#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  kitwright add '91-2044 O-ring 24x3 NBR70, pump cover'
  kitwright add machine mower K3 --year 1996
  kitwright add joint pump-cover --on K3 --gasket 91-3001 --screws 4x91-4410 --opened-by pump-off --after fuel-off
  kitwright add job bowl-leak --renew bowl-gasket --name 'Stop the float bowl weeping'
  kitwright add position pump-plug --part 91-3320 --joint pump-drain --reached-by pump-drained --years 1999-
  kitwright add supersession 40-118 40-218 --since 2003

Each column of the table is an option: --years 1999- for the column years (kitwright columns TABLE lists them). Names behind
the table fill the columns that every row needs, in order. At a terminal, kitwright add TABLE asks step by step.")]
pub(crate) struct AddAsk {
    /// A line as the bag or the list has it, in quotation marks; or a table, and the names of the new row.
    #[arg(value_name = "TEXT or TABLE NAME", required = true)]
    pub words: Vec<String>,
    #[command(flatten)]
    pub joint: JointArguments,
    #[command(flatten)]
    pub job: JobArguments,
    #[command(flatten)]
    pub columns: Columns,
    #[command(flatten)]
    pub consent: Consent,
}

impl From<&AddAsk> for Typed {
    fn from(ask: &AddAsk) -> Self {
        Typed {
            words: ask.words.clone(),
            columns: ask.columns.0.clone(),
            joint: TypedJoint {
                on: ask.joint.on.clone(),
                opened_by: ask.joint.opened_by.clone(),
                after: ask.joint.after.clone(),
                holds: ask.joint.holds.clone(),
                roles: ask.joint.roles.0.clone(),
            },
            job: TypedJob {
                renew: ask.job.renew.clone(),
                fit: ask.job.fit.clone(),
                does: ask.job.does.clone(),
            },
        }
    }
}

/// What makes a joint with one command.
#[derive(Debug, Args)]
#[command(next_help_heading = "Of a joint")]
pub(crate) struct JointArguments {
    /// The model that has the joint, or your machine; without it, every model.
    #[arg(long, value_name = "MODEL")]
    pub on: Option<String>,
    /// The operation that opens it; a new one is added.
    #[arg(long, value_name = "OPERATION")]
    pub opened_by: Option<String>,
    /// An operation that must come before that one.
    #[arg(long, value_name = "OPERATION")]
    pub after: Vec<String>,
    /// Anything of a type without an option of its own: 'back-up ring=91-2108'.
    #[arg(long, value_name = "TYPE=PART")]
    pub holds: Vec<String>,
    #[command(flatten)]
    pub roles: Roles,
}

/// What makes a job with one command.
#[derive(Debug, Args)]
#[command(next_help_heading = "Of a job")]
pub(crate) struct JobArguments {
    /// A position whose part the job renews.
    #[arg(long, value_name = "POSITION")]
    pub renew: Vec<String>,
    /// A part that the job puts somewhere: POSITION=PART; POSITION=- leaves it empty.
    #[arg(long, value_name = "POSITION=PART")]
    pub fit: Vec<String>,
    /// An operation that the job carries out.
    #[arg(long, value_name = "OPERATION")]
    pub does: Vec<String>,
}

/// What sits in a joint: the role and the part as typed, in the order of the roles.
#[derive(Debug, Clone, Default)]
pub(crate) struct Roles(pub Vec<(String, String)>);

impl Args for Roles {
    fn augment_args(mut command: Command) -> Command {
        for (role, _) in ROLES {
            // A person says --screw of one and --screws of four.
            let other = match *role {
                "gasket" => "gaskets",
                "o-ring" => "o-rings",
                "shaft-seal" => "shaft-seals",
                role => role.strip_suffix('s').unwrap_or(role),
            };
            let arg = Arg::new(*role).long(*role).value_name("4xPART").action(ArgAction::Append);
            let arg = if other == *role { arg } else { arg.alias(other) };
            let shown = ["gasket", "o-ring", "screws", "dowels"].contains(role);
            let help = if *role == "gasket" {
                let others: Vec<&str> = ROLES
                    .iter()
                    .map(|(role, _)| *role)
                    .filter(|role| !["gasket", "o-ring", "screws", "dowels"].contains(role))
                    .collect();
                format!(
                    "What sits in it; also --{}; ? where the number is not known yet",
                    others.join(", --")
                )
            } else {
                String::new()
            };
            command = command.arg(arg.hide(!shown).help(help));
        }
        command
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Roles {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut roles = Vec::new();
        for (role, _) in ROLES {
            let given = matches.get_many::<String>(role).into_iter().flatten();
            roles.extend(given.map(|part| ((*role).to_owned(), part.clone())));
        }
        Ok(Roles(roles))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

/// The cells that were given as options, by column.
#[derive(Debug, Clone, Default)]
pub(crate) struct Columns(pub Vec<(&'static str, String)>);

/// The option for a column: hyphens read better behind two of them.
fn option_of(column: &'static str) -> &'static str {
    match column {
        "single_use" => "single-use",
        "reached_by" => "reached-by",
        "when_disturbed" => "when-disturbed",
        "also_called" => "also-called",
        "size_form" => "size-form",
        "free_from" => "free-from",
        "supplier_number" => "supplier-number",
        "as_of" => "as-of",
        "received_quantity" => "received-quantity",
        "received_part" => "received-part",
        column => column,
    }
}

/// Every column but `renew` of orders, a word that makes a job too, and `on` of marks, which names a model here: those
/// are options of their own.
fn every_column() -> BTreeSet<&'static str> {
    let tables = Rows::dictionary();
    let columns = tables.iter().flat_map(|table| table.columns.iter().map(|column| column.name));
    columns.filter(|column| !["renew", "on"].contains(column)).collect()
}

impl Args for Columns {
    fn augment_args(mut command: Command) -> Command {
        for column in every_column() {
            let option = option_of(column);
            let arg = Arg::new(column)
                .long(option)
                .value_name("CELL")
                .action(ArgAction::Set)
                .allow_hyphen_values(true)
                .hide(true);
            let arg = if option == column { arg } else { arg.alias(column) };
            command = command.arg(arg);
        }
        command
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Columns {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let mut columns = Vec::new();
        for column in every_column() {
            let Some(text) = matches.get_one::<String>(column) else { continue };
            // A forgotten cell would swallow the next option.
            if text.starts_with("--") {
                let message = format!(
                    "--{} has no cell behind it; write --{}='{text}' if that is meant\n",
                    column.replace('_', "-"),
                    column
                );
                return Err(clap::Error::raw(clap::error::ErrorKind::InvalidValue, message));
            }
            columns.push((column, text.clone()));
        }
        Ok(Columns(columns))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}
