//! The tables and their columns, each declared once. All that is known of a table comes from here: the reader, the
//! data dictionary, starter files, what names what, how rows are told apart, and what may be passed on.

use super::cell::{
    Cells, Condition, Delivery, Field, Fitted, MarkKind, Need, Phase, PlaceQuantity, Seals,
    SerialCell, Status, Swap, Use, Verdict, WhenDisturbed,
};
use super::lookup::RowsBy;
use super::naming::{Form, Name};
use super::scope::{Scope, Scoped};
use super::table::{
    Asked::*, Col, Owned::*, Table, Visit, column_name, declare, eg, number_of, tables,
};
pub use super::table::{At, Row};
use crate::measure::{
    Date, Gauged, Key, LogDate, Money, PartNumber, Quantity, Size, Torque, Unit, Year, YearRanges,
};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

macro_rules! things {
    ($( #[doc = $about:literal] $Thing:ident = $word:literal, )*) => {
        /// Something that tables name.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Thing { $( #[doc = $about] $Thing, )* }

        impl Thing {
            /// Every kind of thing.
            pub const ALL: &[Thing] = &[ $( Thing::$Thing, )* ];

            /// Gives the word for it.
            pub fn word(self) -> &'static str {
                match self { $( Thing::$Thing => $word, )* }
            }
        }
    };
}

things! {
    /// A model.
    Model = "model",
    /// A machine.
    Machine = "machine",
    /// A part, by its number.
    Part = "part",
    /// A position.
    Position = "position",
    /// A joint.
    Joint = "joint",
    /// An operation.
    Operation = "operation",
    /// A job.
    Job = "job",
    /// A supplier.
    Supplier = "supplier",
    /// A type of part.
    Type = "type",
    /// A caution.
    Caution = "caution",
    /// An order.
    Order = "order",
    /// A kit that was begun.
    Plan = "plan",
    /// What sets machines apart.
    Trait = "trait",
    /// An option of jobs.
    Option = "option",
}

tables! {
    /// A model that the catalog covers.
    models: Model, Shared(0) => {
        /// The model's short name, as parts lists print it.
        model: Key = eg("K3").key().gives(Thing::Model),
        /// Its full name.
        name: String = eg("Garden tractor K3"),
        /// Who made it.
        maker: String = eg("Harrowby"),
        /// The years in which it was built.
        years: Option<YearRanges> = eg("1994-2001"),
        /// Anything else.
        note: String = eg("green hood"),
    }
    /// A machine that its owner keeps running.
    machines: Machine, Own => {
        /// The owner's name for it.
        machine: Key = eg("mower").key().gives(Thing::Machine).asked(&[Rows, Names]),
        /// Its model.
        model: Key = eg("K3").of(Thing::Model),
        /// Its model year; blank where nobody knows.
        year: Option<Year> = eg("1996"),
        /// Its serial number; blank where nobody knows.
        serial: SerialCell = eg("B1200"),
        /// What sets it apart: market, shaft length, gearing. Blank where nobody knows.
        traits: Vec<Key> = eg("EU;wide-deck").gives(Thing::Trait),
        /// Hours run, when last read.
        hours: Option<Decimal> = eg("412"),
        /// When the owner bought it.
        bought: LogDate = eg("2019-05"),
        /// Anything else.
        note: String = eg("history unknown"),
    }
    /// An assembly of a machine with a serial of its own, or from another machine or year.
    assemblies: Assembly, Own => {
        /// The machine.
        machine: Key = eg("mower").key().of(Thing::Machine).asked(&[Rows]),
        /// The assembly, as the positions and operations name it.
        assembly: Key = eg("Gearbox").key(),
        /// Its model, where that is another than the machine's.
        model: Option<Key> = eg("K3").of(Thing::Model),
        /// Its year, where that is another.
        year: Option<Year> = eg("1999"),
        /// Its own serial number.
        serial: SerialCell = eg("G4410"),
        /// What sets it apart, in place of the machine's traits.
        traits: Vec<Key> = eg("EU").gives(Thing::Trait),
        /// Anything else.
        note: String = eg("from a scrapped K3"),
    }
    /// A part by its number.
    parts: Part, Shared(8) => {
        /// The number, as its maker spells it.
        part: PartNumber = eg("40-109").key().gives(Thing::Part).asked(&[Rows]),
        /// The kind of part: one of the table types, or another name for it.
        part_type ("type"): Option<Key> = eg("screw").of(Thing::Type),
        /// What the maker calls it.
        name: String = eg("Bowl screw"),
        /// The size as one reads it on a bag, such as 24x3 or M6x25.
        size: String = eg("M4x12"),
        /// Who makes it.
        maker: String = eg("Harrowby"),
        /// What it is made of.
        material: String = eg("A2-70"),
        /// Whether it is used up by taking it off; blank leaves that to the type.
        single_use: Option<bool> = eg("no"),
        /// The unit in which it is counted; blank is each.
        unit: Option<Unit> = eg("each"),
        /// Whether it can still be bought; blank is available.
        status: Option<Status> = eg("available"),
        /// Anything else.
        note: String = eg("short head"),
        /// Where the row was found.
        source: String = eg("parts list p. 12"),
    }
    /// A measured or published size of one feature of a part.
    dimensions: Dimension, Shared(9) => {
        /// The part.
        part: PartNumber = eg("40-118").key().asked(&[Rows]),
        /// The feature, such as inside diameter, section, width.
        feature: Key = eg("thickness").key(),
        /// Its size.
        size: Size = eg("0.8 ±0.1"),
        /// Where the size was found.
        source: String = eg("measured on a new one"),
    }
    /// What comes with an assembly or a set.
    contains: Contains, Together(10) => {
        /// The assembly or set.
        part: PartNumber = eg("40-700").key().asked(&[Rows]),
        /// A part that comes with it.
        contained ("contains"): PartNumber = eg("40-118").apart().asked(&[Rows]),
        /// How many; blank is 1.
        quantity: Option<Quantity> = eg("1"),
        /// The position at which it arrives fitted.
        position: Option<Key> = eg("bowl-gasket").apart().of(Thing::Position),
        /// Anything else.
        note: String = eg("the overhaul set"),
    }
    /// The same part under another number. Never followed as a supersession.
    equivalents: Equivalent, Shared(11) => {
        /// One number.
        part: PartNumber = eg("40-118").key().asked(&[Rows]),
        /// The other number.
        other: PartNumber = eg("FB-22").key().asked(&[Rows]),
        /// Whose number the other is.
        maker: String = eg("Ferrow"),
        /// Anything else.
        note: String = eg("same outline"),
        /// Where this was found.
        source: String = eg("box label"),
    }
    /// Where a part sits on a model. One position may have several rows with different scopes.
    positions: Position, Shared(4) => {
        /// The position's name.
        position: Key = eg("bowl-gasket").key().gives(Thing::Position).asked(&[Rows]),
        /// The assembly that it belongs to.
        assembly: String = eg("Carburettor"),
        /// Its number in the drawing.
        figure: String = eg("4-8"),
        /// What sits there, in words.
        name: String = eg("Gasket of the float bowl"),
        /// The part; - where nothing is there in this scope; blank where nobody has looked it up.
        part: Fitted = eg("40-118").asked(&[Keys]),
        /// How many; blank is 1; set where one of the part serves every position that names it so.
        quantity: Option<PlaceQuantity> = eg("1"),
        /// The limits of the row.
        scope: Scope = eg(""),
        /// The joints that it is part of: opening one disturbs it.
        joint: Vec<Key> = eg("bowl").gives(Thing::Joint).asked(&[Keys]),
        /// The operation by which one gets at it; - where nothing has to come apart.
        reached_by: Option<Key> = eg("bowl-off").of(Thing::Operation).asked(&[Keys]),
        /// The position whose part this one is pressed, cast or riveted into.
        carried_by: Option<Key> = eg("bowl-body").of(Thing::Position).asked(&[Keys]),
        /// What happens when it is disturbed; blank leaves that to the part and its type.
        when_disturbed: Option<WhenDisturbed> = eg("renew"),
        /// The torque of a fastener, with every figure that the manual prints for it.
        torque: Option<Torque> = eg("2 N·m (18 lbf·in)"),
        /// The hours that the part may run here before it is due.
        life_hours: Option<Decimal> = eg("200"),
        /// The months that it may stay here before it is due.
        life_months: Option<Decimal> = eg("24"),
        /// How to know by eye that this row is the right one.
        tell: String = eg("the bowl has a brass drain screw"),
        /// Anything else.
        note: String = eg("dry"),
        /// Where the row was found.
        source: String = eg("parts list p. 12"),
    }
    /// What a part sits in or on, and the wear limits.
    seats: Seat, Shared(6) => {
        /// The position.
        position: Key = eg("float-valve").key().of(Thing::Position).asked(&[Rows]),
        /// The feature of the seat, such as shaft diameter or groove depth.
        feature: Key = eg("bore").key(),
        /// Its size when new; 0 for play or run-out that is none.
        size: Option<Gauged> = eg("3 H7"),
        /// The least that it may measure.
        least: Option<Gauged> = eg("3"),
        /// The most that it may measure.
        most: Option<Gauged> = eg("3.05"),
        /// The limits of the row.
        scope: Scope = eg(""),
        /// Where the figures were found.
        source: String = eg("manual p. 30"),
    }
    /// A part that is chosen by measuring: a shim, a base gasket, a graded bearing.
    selections: Selection, Shared(7) => {
        /// The position.
        position: Key = eg("output-shim").key().of(Thing::Position).asked(&[Rows]),
        /// The feature that is measured.
        feature: Key = eg("end play").key(),
        /// The least reading for this part; blank is no limit.
        least: Option<Gauged> = eg("0.2").apart(),
        /// The most; blank is no limit.
        most: Option<Gauged> = eg("0.4").apart(),
        /// The part to fit for a reading from least to most.
        part: PartNumber = eg("40-331"),
        /// The limits of the row.
        scope: Scope = eg(""),
        /// Anything else.
        note: String = eg("measured without a shim"),
        /// Where the row was found.
        source: String = eg("manual p. 58"),
    }
    /// A joint: only for a name, or to say that it has nothing that seals.
    joints: Joint, Shared(5) => {
        /// The joint.
        joint: Key = eg("bowl").key().gives(Thing::Joint).asked(&[Rows]),
        /// What it joins, in words.
        name: String = eg("Float bowl to body"),
        /// Yes: it has nothing that seals, by design.
        dry: Option<bool> = eg("no"),
        /// Anything else.
        note: String = eg("the gasket goes on dry"),
    }
    /// What a part number became.
    supersessions: Supersession, Shared(12) => {
        /// The old number.
        old: PartNumber = eg("40-118").key().asked(&[Rows]),
        /// The new number.
        new: PartNumber = eg("40-218").apart().asked(&[Rows]),
        /// How many new ones for one old one; blank is 1.
        quantity: Option<Quantity> = eg("1"),
        /// The same word on several rows of one old number: all of them together replace it.
        together: Option<Key> = eg("later-bowl"),
        /// Whether the old part may also stand in for the new.
        swap: Option<Swap> = eg("one-way"),
        /// Since when.
        since: LogDate = eg("2003"),
        /// What must change with it.
        needs: Vec<Need> = eg("bowl-screws=40-110*4"),
        /// The limits of the row.
        scope: Scope = eg(""),
        /// Anything else.
        note: String = eg("thicker"),
        /// Where the row was found.
        source: String = eg("bulletin 7"),
    }
    /// What is known of a later part on an earlier machine.
    retrofits: Retrofit, Shared(13) => {
        /// The later part.
        part: PartNumber = eg("40-300").key().asked(&[Rows]),
        /// The position that it goes to.
        position: Key = eg("bowl").key().of(Thing::Position).asked(&[Rows]),
        /// Whether it fits.
        verdict: Verdict = eg("fits-with"),
        /// What must change with it.
        needs: Vec<Need> = eg("bowl-gasket=40-218").asked(&[Rows]),
        /// What must be done for it.
        operations: Vec<Key> = eg("drill-vent").of(Thing::Operation),
        /// The limits of the row.
        scope: Scope = eg(""),
        /// Anything else.
        note: String = eg("the later bowl"),
        /// Where this was found.
        source: String = eg("a dealer's letter"),
    }
    /// A step of taking the machine apart.
    operations: Operation, Shared(3) => {
        /// The operation's name.
        operation: Key = eg("bowl-off").key().gives(Thing::Operation).asked(&[Rows, Names]),
        /// What it is, in words.
        name: String = eg("Take off the float bowl"),
        /// The operations that must come first.
        needs: Vec<Key> = eg("fuel-off").of(Thing::Operation),
        /// The joints that it opens.
        opens: Vec<Key> = eg("bowl").of(Thing::Joint),
        /// The positions that it takes off.
        removes: Vec<Key> = eg("bowl").of(Thing::Position),
        /// What it uses up.
        uses: Vec<Use> = eg("40-900=2 g"),
        /// The tools to have.
        tools: Vec<Key> = eg("screwdriver;tray"),
        /// How long it takes, there and back.
        minutes: Option<Decimal> = eg("15"),
        /// The cautions to show, by their names.
        cautions: Vec<Key> = eg("petrol-vapour").of(Thing::Caution),
        /// How to do it.
        strip: String = eg("Four screws; the float pin stays in."),
        /// How to put it back.
        refit: String = eg("New gasket, dry."),
        /// After: once the machine is together again, as bleeding or torque a second time; else blank.
        phase: Option<Phase> = eg("after"),
        /// The assembly that it works on.
        assembly: Option<Key> = eg("Carburettor"),
        /// The limits of the row.
        scope: Scope = eg(""),
        /// Where the row was found.
        source: String = eg("manual p. 31"),
    }
    /// A job by its name.
    jobs: Job, Shared(1) => {
        /// The job's name.
        job: Key = eg("bowl-leak").key().gives(Thing::Job).asked(&[Rows, Names]),
        /// What it is, in words.
        name: String = eg("Stop the float bowl weeping"),
        /// The assembly that it works on: that assembly's model, year and serial count.
        assembly: Option<Key> = eg("Carburettor"),
        /// The limits of the row.
        scope: Scope = eg(""),
        /// The symptoms that it addresses.
        addresses: Vec<Key> = eg("fuel smell;wet carburettor"),
        /// Anything else.
        note: String = eg("look at the float while it is open"),
        /// Where the row was found.
        source: String = eg("own work"),
    }
    /// What a job does: a position to renew, a part to fit, a set to buy, an operation to carry out.
    job_lines: JobLine, Together(2) => {
        /// The job.
        job: Key = eg("bowl-leak").key().of(Thing::Job).asked(&[Rows]),
        /// The line counts only with this option, or without it.
        option: Option<Condition> = eg("not new-bowl").apart().gives(Thing::Option),
        /// The assembly for which a set is bought: its model, year and serial count.
        assembly: Option<Key> = eg("Carburettor").apart(),
        /// The position.
        position: Option<Key> = eg("bowl-gasket").apart().of(Thing::Position),
        /// The part to fit; - leaves the position empty; with no position, a set to buy.
        part: Fitted = eg("40-118").apart(),
        /// How many; blank is what the position says.
        quantity: Option<Quantity> = eg("1"),
        /// An operation to carry out.
        operation: Option<Key> = eg("bowl-off").apart().of(Thing::Operation),
        /// The limits of the row.
        scope: Scope = eg(""),
        /// Anything else.
        note: String = eg("one line for each thing to renew, to fit, to buy or to do"),
    }
    /// What lies on the shelf.
    stock: Stock, Own => {
        /// The part.
        part: PartNumber = eg("40-118").key().asked(&[Rows]),
        /// How much of it; 0 where it has run out.
        quantity: OnHand = eg("2"),
        /// Where it lies.
        bin: String = eg("tin 3").apart(),
        /// Anything else.
        note: String = eg("one is old"),
    }
    /// Who sells parts.
    suppliers: Supplier, Own => {
        /// The supplier.
        supplier: Key = eg("brackwater").key().gives(Thing::Supplier).asked(&[Rows, Names]),
        /// Its full name.
        name: String = eg("Brackwater Parts"),
        /// The currency of its prices.
        currency: String = eg("EUR"),
        /// What a parcel costs.
        shipping: Option<Money> = eg("6.50"),
        /// The goods value from which a parcel is free.
        free_from: Option<Money> = eg("80"),
        /// The least order.
        minimum: Option<Money> = eg("10"),
        /// Days to deliver.
        days: Option<Decimal> = eg("4"),
        /// Anything else.
        note: String = eg("orders by mail"),
    }
    /// What a supplier asks for a part.
    offers: Offer, Own => {
        /// The supplier.
        supplier: Key = eg("brackwater").apart().of(Thing::Supplier),
        /// The part.
        part: PartNumber = eg("40-118").key().asked(&[Rows]),
        /// The supplier's own number.
        supplier_number: String = eg("B-40118").apart(),
        /// The price of one pack.
        price: Money = eg("3.20"),
        /// How much is in a pack; blank is 1.
        pack: Option<Quantity> = eg("1").apart(),
        /// The day of the price.
        as_of: Option<Date> = eg("2026-03-01"),
        /// Anything else.
        note: String = eg("price list"),
    }
    /// A line of an order that was placed.
    orders: OrderLine, Own => {
        /// The order.
        order: Key = eg("2026-01").key().gives(Thing::Order).asked(&[Whole]),
        /// When it was placed.
        date: Date = eg("2026-03-02"),
        /// With whom.
        supplier: Key = eg("brackwater").of(Thing::Supplier),
        /// The part.
        part: PartNumber = eg("40-118").apart(),
        /// How many packs.
        packs: Decimal = eg("2"),
        /// The price of one pack.
        price: Option<Money> = eg("3.20"),
        /// How much is in a pack; blank is what the supplier's offer says.
        pack: Option<Quantity> = eg("1"),
        /// The machine that it is for.
        machine: Option<Key> = eg("mower").of(Thing::Machine),
        /// The job that it is for.
        job: Option<Key> = eg("bowl-leak").of(Thing::Job),
        /// Every job that was ordered for in one go, where there were several.
        jobs: Vec<Key> = eg("bowl-leak; service").of(Thing::Job),
        /// The options of the jobs.
        options: Vec<Key> = eg("new-bowl").of(Thing::Option),
        /// Positions that were to be renewed besides.
        renew: Vec<Key> = eg("bowl-gasket").of(Thing::Position),
        /// Positions whose single-use part was to go back in.
        reuse: Vec<Key> = eg("bowl-clip").of(Thing::Position),
        /// Parts of the person's choice: position=part.
        instead: Vec<Need> = eg("bowl-gasket=40-218"),
        /// Yes: only what was left out when the jobs were recorded was ordered for.
        rest: Option<bool> = eg("yes"),
        /// When it came; of several parcels, the last.
        received: Option<Date> = eg("2026-03-08"),
        /// How much came, in all parcels.
        received_quantity: Option<OnHand> = eg("2"),
        /// What came, where it is another number.
        received_part: Option<PartNumber> = eg("40-218"),
        /// Each parcel of it: the day, how much came, and the number of the delivery note where one was told.
        deliveries: Vec<Delivery> = eg("2026-03-08=2@L-4711"),
        /// Yes: what has not come will not come.
        closed: Option<bool> = eg("yes"),
        /// Anything else.
        note: String = eg("written by the program"),
    }
    /// What was done to a machine.
    worklog: LogEntry, Own => {
        /// When: a day, a bare year, or blank for an earlier owner's work.
        date: LogDate = eg("2021-08-14").apart(),
        /// The machine.
        machine: Key = eg("mower").key().of(Thing::Machine).asked(&[Rows]),
        /// The position worked on.
        position: Option<Key> = eg("bowl-gasket").apart().of(Thing::Position).asked(&[Keys]),
        /// The part that was fitted; - where what was there was taken out for good.
        part: Fitted = eg("40-118").apart(),
        /// How many; blank is what the position says.
        quantity: Option<Quantity> = eg("1"),
        /// An operation that was carried out.
        operation: Option<Key> = eg("bowl-off").apart().of(Thing::Operation),
        /// The job that it was part of.
        job: Option<Key> = eg("bowl-leak").apart().of(Thing::Job),
        /// Positions of the job that were left for later; the job is half done until the log names them.
        left_out: Vec<Key> = eg("bowl-clip").of(Thing::Position),
        /// The options with which the job was begun, and no others; not NAME where none held. Blank says nothing of them.
        options: Vec<Condition> = eg("not new-bowl").of(Thing::Option),
        /// The hours that the machine had run.
        hours: Option<Decimal> = eg("388"),
        /// What was found.
        finding: String = eg("brittle"),
        /// The part of a look-first row that was found to hold.
        confirms: Option<PartNumber> = eg("40-218"),
        /// Anything else.
        note: String = eg("a bare year, or nothing, will do for earlier owners' work"),
    }
    /// A reading taken on a machine.
    measurements: Measurement, Own => {
        /// When it was taken.
        date: Date = eg("2026-03-09").apart(),
        /// The machine.
        machine: Key = eg("mower").key().of(Thing::Machine),
        /// The position.
        position: Key = eg("float-valve").apart().of(Thing::Position).asked(&[Rows]),
        /// The feature.
        feature: Key = eg("bore").apart(),
        /// The reading.
        value: Gauged = eg("3.02").apart(),
        /// Anything else.
        note: String = eg("largest of three"),
    }
    /// A kit that was begun, and is kept while its parts take weeks.
    plans: Plan, Own => {
        /// Its name.
        plan: Key = eg("bowl-2026").key().gives(Thing::Plan).asked(&[Rows, Names]),
        /// The machine.
        machine: Key = eg("mower").of(Thing::Machine),
        /// The jobs.
        jobs: Vec<Key> = eg("bowl-leak").of(Thing::Job),
        /// The options of the jobs.
        options: Vec<Key> = eg("new-bowl").of(Thing::Option),
        /// Positions to renew besides.
        renew: Vec<Key> = eg("bowl-gasket").of(Thing::Position),
        /// Positions whose single-use part goes back in.
        reuse: Vec<Key> = eg("bowl-clip").of(Thing::Position),
        /// Parts of the person's choice: position=part.
        instead: Vec<Need> = eg("bowl-gasket=40-218"),
        /// When it was begun.
        begun: Option<Date> = eg("2026-03-02"),
        /// When it was done, or given up.
        closed: Option<Date> = eg("2026-03-20"),
        /// Anything else.
        note: String = eg("the bowl is with the welder"),
    }
    /// A line of a kit as it was when its plan was begun. Nothing is worked out from it.
    plan_lines: PlanLine, Own => {
        /// The plan.
        plan: Key = eg("bowl-2026").key().of(Thing::Plan).asked(&[Rows]),
        /// The part.
        part: PartNumber = eg("40-118").apart(),
        /// How much of it.
        quantity: Option<Quantity> = eg("1"),
        /// The unit of that; blank is each.
        unit: Option<Unit> = eg("each"),
        /// Why it was in the kit: new, companion, single-use or consumable.
        role: String = eg("new"),
    }
    /// What is done of a plan so far.
    marks: Mark, Own => {
        /// The plan.
        plan: Key = eg("bowl-2026").key().of(Thing::Plan).asked(&[Rows]),
        /// What was done.
        kind: MarkKind = eg("torqued").apart(),
        /// The part that was laid out, the operation that was done or refitted, the position that was torqued.
        subject: Key = eg("bowl-screws")
            .apart()
            .or(&[Thing::Part, Thing::Operation, Thing::Position]),
        /// When.
        on: Option<Date> = eg("2026-03-18"),
        /// Anything else.
        note: String = eg("crosswise"),
    }
    /// A picture: of a part, a position, a joint, a step, a machine.
    photos: Photo, Own => {
        /// The picture: its path within the catalog folder.
        file: Key = eg("photos/2026-03-09-bowl.jpg").key(),
        /// The part that it shows.
        part: Option<PartNumber> = eg("40-118").apart().asked(&[Rows]),
        /// The position that it shows.
        position: Option<Key> = eg("bowl-gasket").apart().of(Thing::Position).asked(&[Rows]),
        /// The joint that it shows.
        joint: Option<Key> = eg("bowl").apart().of(Thing::Joint).asked(&[Rows]),
        /// The step that it shows.
        operation: Option<Key> = eg("bowl-off").apart().of(Thing::Operation).asked(&[Rows]),
        /// The machine that it was taken of.
        machine: Option<Key> = eg("mower").apart().of(Thing::Machine).asked(&[Rows]),
        /// When it was taken.
        date: Option<Date> = eg("2026-03-09"),
        /// Anything else.
        note: String = eg("the vent hole points forward"),
    }
    /// A type of part and its rule.
    types: PartType, Shared(14) => {
        /// The type's name.
        part_type ("type"): Key = eg("deck belt cover").key().gives(Thing::Type).asked(&[Rows, Whole]),
        /// Other names for it.
        also_called: Vec<Key> = eg("belt guard").also(Thing::Type).asked(&[Rows]),
        /// What happens to such a part when it is disturbed.
        when_disturbed: Option<WhenDisturbed> = eg("inspect"),
        /// Whether it seals a joint; own: only the hole that it sits in.
        seals: Option<Seals> = eg("no"),
        /// How its size is typed.
        size_form: String = eg("bore x section"),
        /// Why the rule is what it is.
        why: String = eg("cracks at the clips"),
        /// Where the rule was found.
        source: String = eg("own experience"),
    }
    /// A caution by its name.
    cautions: Caution, Shared(15) => {
        /// The caution's name.
        caution: Key = eg("blade-brake").key().gives(Thing::Caution).asked(&[Rows, Whole]),
        /// What it says.
        text: String = eg("The blade brake is sprung: let it off first."),
        /// Where it was found.
        source: String = eg("the maker's manual"),
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
        use super::cell::Value;
        Quantity::parse_or_zero(text, mark)
            .or_else(|why| <Quantity as Value>::read(text, mark).map_err(|_| why))
            .map(OnHand)
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
