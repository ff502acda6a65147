//! The tables and their columns, each defined once: the typed rows, the reader and the data dictionary all
//! come from the definitions below.

use super::cell::{
    Cells, Column, Condition, Delivery, Field, Fitted, Need, Phase, PlaceQuantity, Seals,
    SerialCell, Status, Swap, Use, Verdict, WhenDisturbed,
};
use super::scope::{Scope, Scoped};
use crate::measure::{
    Date, Gauged, Key, LogDate, Money, PartNumber, Quantity, Size, Torque, Unit, Year, YearRanges,
};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

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
    /// The columns, in the order in which the program writes them.
    pub columns: Vec<Column>,
}

/// A row of one of the tables.
pub trait Row: Sized {
    /// The table's name.
    const TABLE: &'static str;
    /// Gives the table's definition.
    fn table() -> Table;
    /// Reads a row; `None` where a required cell is missing or unreadable (the cells have noted which).
    fn read(at: At, cells: &mut dyn Cells) -> Option<Self>;
    /// Tells where the row stands.
    fn at(&self) -> At;
    /// Gives the row as one that stands elsewhere.
    fn moved(self, at: At) -> Self;
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
        $table:ident: $Row:ident {
            $( #[doc = $column_about:literal] $field:ident $(($name:literal))?: $ty:ty, )*
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

            impl Row for $Row {
                const TABLE: &'static str = stringify!($table);

                fn table() -> Table {
                    let mut columns = Vec::new();
                    $( <$ty as Field>::columns(column_name!($field $($name)?), $column_about.trim_ascii(), &mut columns); )*
                    Table { name: Self::TABLE, about: $about.trim_ascii(), columns }
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
            }
        )*

        /// Every row of every table, in table order.
        #[derive(Debug, Clone, Default, PartialEq, Eq)]
        pub struct Rows {
            $( #[doc = $about] pub $table: Vec<$Row>, )*
        }

        impl Rows {
            /// Gives the definitions of all tables, in the order of the data dictionary.
            pub fn dictionary() -> Vec<Table> {
                vec![ $( $Row::table(), )* ]
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
        }
    };
}

tables! {
    /// A model that the catalog covers.
    models: Model {
        /// The model's short name, as parts lists print it.
        model: Key,
        /// Its full name.
        name: String,
        /// Who made it.
        maker: String,
        /// The years in which it was built.
        years: Option<YearRanges>,
        /// Anything else.
        note: String,
    }
    /// A machine that its owner keeps running.
    machines: Machine {
        /// The owner's name for it.
        machine: Key,
        /// Its model.
        model: Key,
        /// Its model year; blank where nobody knows.
        year: Option<Year>,
        /// Its serial number; blank where nobody knows.
        serial: SerialCell,
        /// What sets it apart: market, shaft length, gearing. Blank where nobody knows.
        traits: Vec<Key>,
        /// Hours run, when last read.
        hours: Option<Decimal>,
        /// When the owner bought it.
        bought: LogDate,
        /// Anything else.
        note: String,
    }
    /// An assembly of a machine with a serial of its own, or from another machine or year.
    assemblies: Assembly {
        /// The machine.
        machine: Key,
        /// The assembly, as the positions and operations name it.
        assembly: Key,
        /// Its model, where that is another than the machine's.
        model: Option<Key>,
        /// Its year, where that is another.
        year: Option<Year>,
        /// Its own serial number.
        serial: SerialCell,
        /// What sets it apart, in place of the machine's traits.
        traits: Vec<Key>,
        /// Anything else.
        note: String,
    }
    /// A part by its number.
    parts: Part {
        /// The number, as its maker spells it.
        part: PartNumber,
        /// The kind of part: one of the table types, or another name for it.
        part_type ("type"): Option<Key>,
        /// What the maker calls it.
        name: String,
        /// The size as one reads it on a bag, such as 24x3 or M6x25.
        size: String,
        /// Who makes it.
        maker: String,
        /// What it is made of.
        material: String,
        /// Whether it is used up by taking it off; blank leaves that to the type.
        single_use: Option<bool>,
        /// The unit in which it is counted; blank is each.
        unit: Option<Unit>,
        /// Whether it can still be bought; blank is available.
        status: Option<Status>,
        /// Anything else.
        note: String,
        /// Where the row was found.
        source: String,
    }
    /// A measured or published size of one feature of a part.
    dimensions: Dimension {
        /// The part.
        part: PartNumber,
        /// The feature, such as inside diameter, section, width.
        feature: Key,
        /// Its size.
        size: Size,
        /// Where the size was found.
        source: String,
    }
    /// What comes with an assembly or a set.
    contains: Contains {
        /// The assembly or set.
        part: PartNumber,
        /// A part that comes with it.
        contained ("contains"): PartNumber,
        /// How many; blank is 1.
        quantity: Option<Quantity>,
        /// The position at which it arrives fitted.
        position: Option<Key>,
        /// Anything else.
        note: String,
    }
    /// The same part under another number. Never followed as a supersession.
    equivalents: Equivalent {
        /// One number.
        part: PartNumber,
        /// The other number.
        other: PartNumber,
        /// Whose number the other is.
        maker: String,
        /// Anything else.
        note: String,
        /// Where this was found.
        source: String,
    }
    /// Where a part sits on a model. One position may have several rows with different scopes.
    positions: Position {
        /// The position's name.
        position: Key,
        /// The assembly that it belongs to.
        assembly: String,
        /// Its number in the drawing.
        figure: String,
        /// What sits there, in words.
        name: String,
        /// The part; - where nothing is there in this scope; blank where nobody has looked it up.
        part: Fitted,
        /// How many; blank is 1; set where one of the part serves every position that names it so.
        quantity: Option<PlaceQuantity>,
        /// The limits of the row.
        scope: Scope,
        /// The joints that it is part of: opening one disturbs it.
        joint: Vec<Key>,
        /// The operation by which one gets at it; - where nothing has to come apart.
        reached_by: Option<Key>,
        /// The position whose part this one is pressed, cast or riveted into.
        carried_by: Option<Key>,
        /// What happens when it is disturbed; blank leaves that to the part and its type.
        when_disturbed: Option<WhenDisturbed>,
        /// The torque of a fastener, with every figure that the manual prints for it.
        torque: Option<Torque>,
        /// The hours that the part may run here before it is due.
        life_hours: Option<Decimal>,
        /// The months that it may stay here before it is due.
        life_months: Option<Decimal>,
        /// How to know by eye that this row is the right one.
        tell: String,
        /// Anything else.
        note: String,
        /// Where the row was found.
        source: String,
    }
    /// What a part sits in or on, and the wear limits.
    seats: Seat {
        /// The position.
        position: Key,
        /// The feature of the seat, such as shaft diameter or groove depth.
        feature: Key,
        /// Its size when new; 0 for play or run-out that is none.
        size: Option<Gauged>,
        /// The least that it may measure.
        least: Option<Gauged>,
        /// The most that it may measure.
        most: Option<Gauged>,
        /// The limits of the row.
        scope: Scope,
        /// Where the figures were found.
        source: String,
    }
    /// A part that is chosen by measuring: a shim, a base gasket, a graded bearing.
    selections: Selection {
        /// The position.
        position: Key,
        /// The feature that is measured.
        feature: Key,
        /// The least reading for this part; blank is no limit.
        least: Option<Gauged>,
        /// The most; blank is no limit.
        most: Option<Gauged>,
        /// The part to fit for a reading from least to most.
        part: PartNumber,
        /// The limits of the row.
        scope: Scope,
        /// Anything else.
        note: String,
        /// Where the row was found.
        source: String,
    }
    /// A joint: only for a name, or to say that it has nothing that seals.
    joints: Joint {
        /// The joint.
        joint: Key,
        /// What it joins, in words.
        name: String,
        /// Yes: it has nothing that seals, by design.
        dry: Option<bool>,
        /// Anything else.
        note: String,
    }
    /// What a part number became.
    supersessions: Supersession {
        /// The old number.
        old: PartNumber,
        /// The new number.
        new: PartNumber,
        /// How many new ones for one old one; blank is 1.
        quantity: Option<Quantity>,
        /// The same word on several rows of one old number: all of them together replace it.
        together: Option<Key>,
        /// Whether the old part may also stand in for the new.
        swap: Option<Swap>,
        /// Since when.
        since: LogDate,
        /// What must change with it.
        needs: Vec<Need>,
        /// The limits of the row.
        scope: Scope,
        /// Anything else.
        note: String,
        /// Where the row was found.
        source: String,
    }
    /// What is known of a later part on an earlier machine.
    retrofits: Retrofit {
        /// The later part.
        part: PartNumber,
        /// The position that it goes to.
        position: Key,
        /// Whether it fits.
        verdict: Verdict,
        /// What must change with it.
        needs: Vec<Need>,
        /// What must be done for it.
        operations: Vec<Key>,
        /// The limits of the row.
        scope: Scope,
        /// Anything else.
        note: String,
        /// Where this was found.
        source: String,
    }
    /// A step of taking the machine apart.
    operations: Operation {
        /// The operation's name.
        operation: Key,
        /// What it is, in words.
        name: String,
        /// The operations that must come first.
        needs: Vec<Key>,
        /// The joints that it opens.
        opens: Vec<Key>,
        /// The positions that it takes off.
        removes: Vec<Key>,
        /// What it uses up.
        uses: Vec<Use>,
        /// The tools to have.
        tools: Vec<Key>,
        /// How long it takes, there and back.
        minutes: Option<Decimal>,
        /// The cautions to show, by their names.
        cautions: Vec<Key>,
        /// How to do it.
        strip: String,
        /// How to put it back.
        refit: String,
        /// After: once the machine is together again, as bleeding or torque a second time; else blank.
        phase: Option<Phase>,
        /// The assembly that it works on.
        assembly: Option<Key>,
        /// The limits of the row.
        scope: Scope,
        /// Where the row was found.
        source: String,
    }
    /// A job by its name.
    jobs: Job {
        /// The job's name.
        job: Key,
        /// What it is, in words.
        name: String,
        /// The assembly that it works on: that assembly's model, year and serial count.
        assembly: Option<Key>,
        /// The limits of the row.
        scope: Scope,
        /// The symptoms that it addresses.
        addresses: Vec<Key>,
        /// Anything else.
        note: String,
        /// Where the row was found.
        source: String,
    }
    /// What a job does: a position to renew, a part to fit, a set to buy, an operation to carry out.
    job_lines: JobLine {
        /// The job.
        job: Key,
        /// The line counts only with this option, or without it.
        option: Option<Condition>,
        /// The assembly for which a set is bought: its model, year and serial count.
        assembly: Option<Key>,
        /// The position.
        position: Option<Key>,
        /// The part to fit; - leaves the position empty; with no position, a set to buy.
        part: Fitted,
        /// How many; blank is what the position says.
        quantity: Option<Quantity>,
        /// An operation to carry out.
        operation: Option<Key>,
        /// The limits of the row.
        scope: Scope,
        /// Anything else.
        note: String,
    }
    /// What lies on the shelf.
    stock: Stock {
        /// The part.
        part: PartNumber,
        /// How much of it; 0 where it has run out.
        quantity: OnHand,
        /// Where it lies.
        bin: String,
        /// Anything else.
        note: String,
    }
    /// Who sells parts.
    suppliers: Supplier {
        /// The supplier.
        supplier: Key,
        /// Its full name.
        name: String,
        /// The currency of its prices.
        currency: String,
        /// What a parcel costs.
        shipping: Option<Money>,
        /// The goods value from which a parcel is free.
        free_from: Option<Money>,
        /// The least order.
        minimum: Option<Money>,
        /// Days to deliver.
        days: Option<Decimal>,
        /// Anything else.
        note: String,
    }
    /// What a supplier asks for a part.
    offers: Offer {
        /// The supplier.
        supplier: Key,
        /// The part.
        part: PartNumber,
        /// The supplier's own number.
        supplier_number: String,
        /// The price of one pack.
        price: Money,
        /// How much is in a pack; blank is 1.
        pack: Option<Quantity>,
        /// The day of the price.
        as_of: Option<Date>,
        /// Anything else.
        note: String,
    }
    /// A line of an order that was placed.
    orders: OrderLine {
        /// The order.
        order: Key,
        /// When it was placed.
        date: Date,
        /// With whom.
        supplier: Key,
        /// The part.
        part: PartNumber,
        /// How many packs.
        packs: Decimal,
        /// The price of one pack.
        price: Option<Money>,
        /// How much is in a pack; blank is what the supplier's offer says.
        pack: Option<Quantity>,
        /// The machine that it is for.
        machine: Option<Key>,
        /// The job that it is for.
        job: Option<Key>,
        /// Every job that was ordered for in one go, where there were several.
        jobs: Vec<Key>,
        /// The options of the jobs.
        options: Vec<Key>,
        /// Positions that were to be renewed besides.
        renew: Vec<Key>,
        /// Positions whose single-use part was to go back in.
        reuse: Vec<Key>,
        /// Parts of the person's choice: position=part.
        instead: Vec<Need>,
        /// Yes: only what was left out when the jobs were recorded was ordered for.
        rest: Option<bool>,
        /// When it came; of several parcels, the last.
        received: Option<Date>,
        /// How much came, in all parcels.
        received_quantity: Option<OnHand>,
        /// What came, where it is another number.
        received_part: Option<PartNumber>,
        /// Each parcel of it: the day, how much came, and the number of the delivery note where one was told.
        deliveries: Vec<Delivery>,
        /// Yes: what has not come will not come.
        closed: Option<bool>,
        /// Anything else.
        note: String,
    }
    /// What was done to a machine.
    worklog: LogEntry {
        /// When: a day, a bare year, or blank for an earlier owner's work.
        date: LogDate,
        /// The machine.
        machine: Key,
        /// The position worked on.
        position: Option<Key>,
        /// The part that was fitted; - where what was there was taken out for good.
        part: Fitted,
        /// How many; blank is what the position says.
        quantity: Option<Quantity>,
        /// An operation that was carried out.
        operation: Option<Key>,
        /// The job that it was part of.
        job: Option<Key>,
        /// Positions of the job that were left for later; the job is half done until the log names them.
        left_out: Vec<Key>,
        /// The options with which the job was begun, and no others; not NAME where none held. Blank says nothing of them.
        options: Vec<Condition>,
        /// The hours that the machine had run.
        hours: Option<Decimal>,
        /// What was found.
        finding: String,
        /// The part of a look-first row that was found to hold.
        confirms: Option<PartNumber>,
        /// Anything else.
        note: String,
    }
    /// A reading taken on a machine.
    measurements: Measurement {
        /// When it was taken.
        date: Date,
        /// The machine.
        machine: Key,
        /// The position.
        position: Key,
        /// The feature.
        feature: Key,
        /// The reading.
        value: Gauged,
        /// Anything else.
        note: String,
    }
    /// A type of part and its rule.
    types: PartType {
        /// The type's name.
        part_type ("type"): Key,
        /// Other names for it.
        also_called: Vec<Key>,
        /// What happens to such a part when it is disturbed.
        when_disturbed: Option<WhenDisturbed>,
        /// Whether it seals a joint; own: only the hole that it sits in.
        seals: Option<Seals>,
        /// How its size is typed.
        size_form: String,
        /// Why the rule is what it is.
        why: String,
        /// Where the rule was found.
        source: String,
    }
    /// A caution by its name.
    cautions: Caution {
        /// The caution's name.
        caution: Key,
        /// What it says.
        text: String,
        /// Where it was found.
        source: String,
    }
}

/// An amount that may be zero, as a shelf may be empty.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct OnHand(pub Quantity);

impl super::cell::Value for OnHand {
    const FORM: &'static str = "quantity, 0 where there is none";

    fn read(
        text: &str,
        mark: crate::measure::DecimalMark,
    ) -> Result<Self, crate::measure::Unreadable> {
        Quantity::parse_or_zero(text, mark).map(OnHand)
    }
}

macro_rules! scoped {
    ($($Row:ident),*) => { $(
        impl Scoped for $Row {
            fn scope(&self) -> &Scope {
                &self.scope
            }
        }
    )* };
}

scoped!(Position, Seat, Selection, Supersession, Retrofit, Operation, Job, JobLine);
