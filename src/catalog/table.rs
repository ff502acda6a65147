//! What is declared of a table and of each of its columns, and the traits that the declarations fill in.

use super::cell::{Cells, Field};
use super::naming::{Form, Name, Thing};
use super::rows::Rows;
use super::scope::Scope;
use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use std::marker::PhantomData;

/// Where a row stands. Rows compare in table order: files by path, then by line.
#[derive(
    Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct At {
    /// The place of the file among all files, by path.
    pub file: u32,
    /// The line on which the row begins, the first being 1.
    pub line: u32,
}

/// A table's definition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// The table's name; its files are called `<name>.csv`.
    pub name: &'static str,
    /// What one row says.
    pub about: &'static str,
    /// Whose its rows are.
    pub owned: Owned,
    /// The columns, in the order in which the program writes them.
    pub columns: Vec<Column>,
}

/// One column of a table: all that is declared of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// The name in the header line.
    pub name: &'static str,
    /// Every row needs something in this column.
    pub required: bool,
    /// The form of a cell.
    pub form: &'static str,
    /// What the column is for.
    pub about: &'static str,
    /// What else is declared of it.
    pub says: Says,
    /// What its cells name, and how.
    pub names: Vec<(Thing, Form)>,
}

/// Whose the rows of a table are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owned {
    /// Their owner's alone: they are never passed on, and never taken from another.
    Own,
    /// They may be passed on. Of several tables the one with the lower number is told of first.
    Shared(u8),
    /// Likewise; and all rows of a key together say what is so, as the lines of a job do.
    Together(u8),
}

/// How a column helps to tell the rows of its table apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// It says what a row is about.
    Key,
    /// With the key, it makes two rows the same statement about the same machines.
    Apart,
    /// It says something of what the row is about.
    Says,
}

/// What is declared of a column beside its form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Says {
    /// An invented example of a cell.
    pub example: &'static str,
    /// How it helps to tell rows apart.
    pub role: Role,
    /// What its names stand for, where their form alone does not tell.
    pub of: Option<Thing>,
    /// What else they may stand for, as another column of the row says.
    pub or: &'static [Thing],
    /// A name that stands here is there: no other table has to give it.
    pub gives: bool,
    /// A name that stands here is one more for what the row is about, and leads to it.
    pub also: bool,
    /// What a reader of the catalog can ask by it.
    pub asked: &'static [Asked],
}

/// What a reader of the catalog can ask by a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asked {
    /// For the rows that hold a name there.
    Rows,
    /// For the keys of such rows alone: the positions in a joint.
    Keys,
    /// For every name that stands there. Of columns that are not asked so, it takes a look at the whole index.
    Names,
    /// For every row of the table: only where they are few.
    Whole,
}

/// Begins what is declared of a column with an example of a cell.
pub(super) const fn eg(example: &'static str) -> Says {
    Says { example, role: Role::Says, of: None, or: &[], gives: false, also: false, asked: &[] }
}

impl Says {
    pub(super) const fn key(self) -> Says {
        Says { role: Role::Key, ..self }
    }

    pub(super) const fn apart(self) -> Says {
        Says { role: Role::Apart, ..self }
    }

    pub(super) const fn of(self, thing: Thing) -> Says {
        Says { of: Some(thing), ..self }
    }

    pub(super) const fn or(self, things: &'static [Thing]) -> Says {
        Says { or: things, ..self }
    }

    pub(super) const fn gives(self, thing: Thing) -> Says {
        Says { of: Some(thing), gives: true, ..self }
    }

    pub(super) const fn also(self, thing: Thing) -> Says {
        Says { of: Some(thing), gives: true, also: true, ..self }
    }

    pub(super) const fn asked(self, asked: &'static [Asked]) -> Says {
        Says { asked, ..self }
    }
}

impl Table {
    /// Finds the definition of a table.
    pub fn of(name: &str) -> Option<&'static Table> {
        Rows::dictionary().iter().find(|table| table.name == name)
    }

    /// Finds a column.
    pub fn column(&self, name: &str) -> Option<&Column> {
        self.columns.iter().find(|column| column.name == name)
    }

    /// Gives the columns that say what a row is about.
    pub fn key(&self) -> Vec<&'static str> {
        self.told_apart_by(Role::Key)
    }

    /// Gives the columns that, with the key, make two rows the same statement about the same machines.
    pub fn further(&self) -> Vec<&'static str> {
        self.told_apart_by(Role::Apart)
    }

    fn told_apart_by(&self, role: Role) -> Vec<&'static str> {
        let columns = self.columns.iter().filter(|column| column.says.role == role);
        columns.map(|column| column.name).collect()
    }

    /// Gives the columns by which a person may call a row: those that tell rows apart and name something.
    pub fn called_by(&self) -> Vec<&'static str> {
        // The limits of a row name a model, but are no name of the row.
        let is_named = |column: &&Column| column.names.iter().any(|(_, form)| *form == Form::One);
        let of = |role: Role| self.columns.iter().filter(move |column| column.says.role == role);
        let key =
            of(Role::Key).enumerate().filter(|(index, column)| *index == 0 || is_named(column));
        let key = key.map(|(_, column)| column);
        key.chain(of(Role::Apart).filter(is_named)).map(|column| column.name).collect()
    }

    /// Gives the column by whose name alone a row is known, where such a name has one row.
    pub fn name_of_one_row(&self) -> Option<&'static str> {
        let key = self.key();
        key.first()
            .copied()
            .filter(|_| key.len() == 1 && self.has_one_row() && self.further().is_empty())
    }

    /// Tells that its rows have limits.
    pub fn is_scoped(&self) -> bool {
        self.column("only").is_some()
    }

    /// Tells that a key has one row, which says all.
    pub fn has_one_row(&self) -> bool {
        !self.is_scoped() && !matches!(self.owned, Owned::Together(_))
    }

    /// Gives the tables whose rows may be passed on, in the order in which they are told of.
    pub fn shared() -> Vec<&'static Table> {
        let place = |table: &Table| match table.owned {
            Owned::Own => None,
            Owned::Shared(place) | Owned::Together(place) => Some(place),
        };
        let mut shared: Vec<&Table> = Rows::dictionary().iter().collect();
        shared.retain(|table| place(table).is_some());
        shared.sort_by_key(|table| place(table));
        shared
    }
}

impl Column {
    /// Tells how its cells name a thing.
    pub fn forms(&self, thing: Thing) -> impl Iterator<Item = Form> + '_ {
        self.names.iter().filter(move |(named, _)| *named == thing).map(|(_, form)| *form)
    }
}

/// A column of a table of rows `R`, by which they can be asked for.
#[derive(Debug)]
pub struct Col<R> {
    /// The number of the column.
    pub slot: usize,
    of: PhantomData<fn() -> R>,
}

impl<R> Clone for Col<R> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<R> Copy for Col<R> {}

impl<R> Col<R> {
    /// Finds the column of a field among the fields of the row, each with the number of its columns.
    pub(super) const fn of(field: &str, fields: &[(&str, usize)]) -> Self {
        let (mut slot, mut index) = (0, 0);
        while index < fields.len() && !same(fields[index].0, field) {
            slot += fields[index].1;
            index += 1;
        }
        Col { slot, of: PhantomData }
    }
}

const fn same(a: &str, b: &str) -> bool {
    let (a, b) = (a.as_bytes(), b.as_bytes());
    let mut index = 0;
    while index < a.len() && index < b.len() && a[index] == b[index] {
        index += 1;
    }
    index == a.len() && index == b.len()
}

/// Tells which of the tables has this name.
pub(super) const fn number_of(table: &str, tables: &[&str]) -> usize {
    let mut index = 0;
    while index < tables.len() && !same(tables[index], table) {
        index += 1;
    }
    index
}

/// Looks at the rows of each table in turn.
pub trait Visit<'a> {
    /// Looks at the rows of one table.
    fn rows<R: Row>(&mut self, rows: &'a [R]);
}

/// A row of one of the tables.
pub trait Row: Sized + Clone + PartialEq + Serialize + DeserializeOwned + 'static {
    /// The table's name.
    const TABLE: &'static str;
    /// The table's number in the data dictionary.
    const NUMBER: usize;
    /// Makes the table's definition.
    fn table() -> Table;
    /// Gives the table's definition.
    fn definition() -> &'static Table {
        &Rows::dictionary()[Self::NUMBER]
    }
    /// Gives the rows of the table.
    fn of(rows: &Rows) -> &[Self];
    /// Reads a row; `None` where a required cell is missing or unreadable (the cells have noted which).
    fn read(at: At, cells: &mut dyn Cells) -> Option<Self>;
    /// Tells where the row stands.
    fn at(&self) -> At;
    /// Gives the row as one that stands elsewhere.
    fn moved(self, at: At) -> Self;
    /// Shows every name in the row, with the number of its column.
    fn names<'a>(&'a self, look: &mut dyn FnMut(usize, Form, Name<'a>));
    /// Gives the limits of the row, if it has any.
    fn limits(&self) -> Option<&Scope>;
}

/// Adds a field's columns to a table's definition.
pub(super) fn declare<T: Field>(
    name: &'static str,
    about: &'static str,
    says: Says,
    columns: &mut Vec<Column>,
) {
    T::columns(name, about.trim_ascii(), says, columns);
}

macro_rules! column_name {
    ($field:ident) => {
        stringify!($field)
    };
    ($field:ident $name:literal) => {
        $name
    };
}

macro_rules! tables {
    ($(
        #[doc = $about:literal]
        $table:ident: $Row:ident, $owned:expr => {
            $( #[doc = $column_about:literal] $field:ident $(($name:literal))?: $ty:ty = $says:expr, )*
        }
    )*) => {
        $(
            #[doc = $about]
            #[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
            pub struct $Row {
                /// Where the row stands.
                pub at: At,
                $( #[doc = $column_about] pub $field: $ty, )*
            }

            #[allow(non_upper_case_globals, reason = "a column is called as its field is")]
            impl $Row {
                const FIELDS: &'static [(&'static str, usize)] =
                    &[ $( (stringify!($field), <$ty as Field>::WIDTH), )* ];
                $( #[doc = $column_about] pub const $field: Col<Self> = Col::of(stringify!($field), Self::FIELDS); )*
            }

            impl Row for $Row {
                const TABLE: &'static str = stringify!($table);
                const NUMBER: usize = number_of(Self::TABLE, TABLES);

                fn table() -> Table {
                    let mut columns = Vec::new();
                    $( declare::<$ty>(column_name!($field $($name)?), $column_about, $says, &mut columns); )*
                    Table { name: Self::TABLE, about: $about.trim_ascii(), owned: $owned, columns }
                }

                fn of(rows: &Rows) -> &[Self] {
                    &rows.$table
                }

                fn read(at: At, cells: &mut dyn Cells) -> Option<Self> {
                    let mut slot = 0;
                    // Every field is read before one may be missed, so that a row reports all its faults.
                    $( let $field = <$ty as Field>::read(cells, &mut slot); )*
                    Some($Row { at, $( $field: $field?, )* })
                }

                fn at(&self) -> At {
                    self.at
                }

                fn moved(self, at: At) -> Self {
                    $Row { at, ..self }
                }

                fn names<'a>(&'a self, look: &mut dyn FnMut(usize, Form, Name<'a>)) {
                    let mut slot = 0;
                    $( Field::names(&self.$field, &mut slot, look); )*
                }

                fn limits(&self) -> Option<&Scope> {
                    let limits = [ $( Field::limits(&self.$field), )* ];
                    limits.into_iter().flatten().next()
                }
            }
        )*

        const TABLES: &[&str] = &[ $( stringify!($table), )* ];

        /// The rows of every table can be asked for.
        pub trait EveryRow: $( RowsBy<$Row> + )* {}

        impl<T: $( RowsBy<$Row> + )*> EveryRow for T {}

        /// Every row of every table, in table order.
        #[derive(Debug, Clone, Default, PartialEq, Eq)]
        pub struct Rows {
            $( #[doc = $about] pub $table: Vec<$Row>, )*
        }

        impl Rows {
            /// Gives the definitions of all tables, in the order of the data dictionary.
            pub fn dictionary() -> &'static [Table] {
                static DICTIONARY: LazyLock<Vec<Table>> = LazyLock::new(|| vec![ $( $Row::table(), )* ]);
                &DICTIONARY
            }

            /// Shows the rows of each table in turn.
            pub fn visit<'a>(&'a self, visit: &mut impl Visit<'a>) {
                $( visit.rows(&self.$table); )*
            }

            /// Gives the limits of every row that has some.
            pub fn scopes(&self) -> impl Iterator<Item = (At, &Scope)> {
                let none = std::iter::empty();
                none$( .chain(self.$table.iter().filter_map(|row| Some((row.at, row.limits()?)))) )*
            }

            /// Takes all rows out; the room for them is kept.
            pub(crate) fn clear(&mut self) {
                $( self.$table.clear(); )*
            }

            /// Reads a row into the table of that name; `false` where there is no such table.
            pub fn read(&mut self, table: &str, at: At, cells: &mut dyn Cells) -> bool {
                match table {
                    $( stringify!($table) => self.$table.extend($Row::read(at, cells)), )*
                    _ => return false,
                }
                true
            }

            /// Moves the last row of a table to others, if it is the one that stands there.
            pub(crate) fn set_aside(&mut self, table: &str, at: At, aside: &mut Rows) {
                match table {
                    $( stringify!($table) => {
                        aside.$table.extend(self.$table.pop_if(|row| row.at == at));
                    } )*
                    _ => {}
                }
            }

            /// Takes other rows in, each at its place in table order.
            pub(crate) fn merge(&mut self, others: Rows) {
                $( if !others.$table.is_empty() {
                    self.$table.extend(others.$table);
                    self.$table.sort_by_key(|row| row.at);
                } )*
            }
        }
    };
}

pub(super) use {column_name, tables};
