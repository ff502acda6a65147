//! What each kind of gap means, and how its owner closes it.

use super::gap::GapKind;

impl GapKind {
    /// Says what the gap means.
    pub fn meaning(self) -> &'static str {
        match self {
            GapKind::OperationUnknown => {
                "Something in the plan needs an operation that has no row for this machine, so what it opens and uses up is not known."
            }
            GapKind::OperationCycle => {
                "Operations need each other in a circle, so there is no order in which to do them."
            }
            GapKind::JointUnsealed => {
                "A joint is opened in which nothing seals, and the table joints does not call it dry. A gasket, O-ring or sealing washer may have been forgotten."
            }
            GapKind::PositionUnknown => {
                "A position is named that has no row in positions, so nobody knows what sits there or how one gets at it."
            }
            GapKind::PartUnknown => {
                "A position is renewed whose part nobody has looked up, or a number is to be ordered that is not in the table parts."
            }
            GapKind::RuleUnknown => {
                "A part comes apart for which nothing says whether it may go back in. It is put on the list to be safe."
            }
            GapKind::NotSettled => {
                "A row may apply to this machine or not: the machine's year or serial is blank, its traits do not tell, or its serial has another prefix or suffix than the row's limits."
            }
            GapKind::Overlap => {
                "Several rows surely apply to this machine and say different things. The first one was used."
            }
            GapKind::Choice => {
                "Two replacements of one number are equally narrow and equally late. The first one was used."
            }
            GapKind::SupersessionCycle => {
                "Following what a number became leads back to a number already passed."
            }
            GapKind::Conflict => {
                "One position is asked to hold two different parts, or to be both renewed and left empty. What was asked first stays."
            }
            GapKind::FitUnknown => {
                "A job puts a part where neither the position, nor the log, nor a retrofit row says that it fits."
            }
            GapKind::DoesNotFit => {
                "A retrofit row says that the part does not go there on this machine."
            }
            GapKind::Discontinued => {
                "The part to be ordered is made no more, no supersession leads on from it, and no equivalent can be bought."
            }
            GapKind::WayInUnknown => {
                "Something is renewed or left out, and nothing in the plan opens all its joints or takes it off."
            }
            GapKind::BetweenRows => {
                "The rows of a position are for machines before this one and after it, and none is for this one."
            }
            GapKind::ForeignPart => {
                "The log says that a part sits there which the tables list for other machines only. The assembly may come from another machine."
            }
            GapKind::WrongSize => "By the figures, a part that is to go in does not fit its seat.",
            GapKind::LookFirst => {
                "A part fits only if the machine is found to be as a retrofit row says, and the log does not say that anybody looked."
            }
            GapKind::MeasureFirst => {
                "The part is chosen by measuring, and no reading tells which one it is to be."
            }
            GapKind::Withdrawn => "The part is never to be fitted again.",
            GapKind::Unread => {
                "A row of a table cannot be read, and it could change this kit. It was passed over."
            }
        }
    }

    /// Says how to close the gap.
    pub fn mend(self) -> &'static str {
        match self {
            GapKind::OperationUnknown => {
                "Add a row to operations, or correct the name where it is needed."
            }
            GapKind::OperationCycle => "Take out the need that points backwards.",
            GapKind::JointUnsealed => {
                "Look at the joint in the drawing. Add what seals it to positions, or give the joint a row in joints with yes under dry."
            }
            GapKind::PositionUnknown => "Add a row to positions, or correct the name.",
            GapKind::PartUnknown => "Look up the number, fill it in, and add its row to parts.",
            GapKind::RuleUnknown => {
                "Fill in the part's type, or renew, inspect or keep under when_disturbed at the position, or yes or no under single_use at the part."
            }
            GapKind::NotSettled => {
                "Fill in the cell of the machine that the message names, or correct the row's limits."
            }
            GapKind::Overlap => {
                "Narrow one of the rows by model, years, serials or traits, or take it out."
            }
            GapKind::Choice => "Fill in since, or narrow the row that should win.",
            GapKind::SupersessionCycle => "Take out the row that points backwards.",
            GapKind::Conflict => {
                "Decide which it is to be, and change the other job line or needs cell."
            }
            GapKind::FitUnknown => {
                "Find out, then add a row to retrofits with fits, fits-with or no. `kitwright fits` shows what is known so far."
            }
            GapKind::DoesNotFit => "Choose another part for the position.",
            GapKind::WayInUnknown => {
                "Fill in reached_by, or let an operation open the joint. Where nothing comes apart, type - under reached_by."
            }
            GapKind::BetweenRows => {
                "Widen one of the rows, or add one for this machine, with - as the part where nothing sits there."
            }
            GapKind::ForeignPart => {
                "Give the assembly a row in assemblies if it comes from another machine, or the part one in retrofits if it is known to fit."
            }
            GapKind::WrongSize => {
                "Measure both, correct the figure that is wrong, or choose another part. `kitwright fits` shows the figures."
            }
            GapKind::LookFirst => {
                "Look. If it holds, write the part under confirms in the log at the position; else choose another part."
            }
            GapKind::MeasureFirst => {
                "Measure the feature, and write the reading down (`kitwright measure`)."
            }
            GapKind::Withdrawn => {
                "Find what replaces it and add a supersession, or put another part there with --instead."
            }
            GapKind::Unread => "Correct the cell that the message names.",
            GapKind::Discontinued => {
                "Find what replaces it and add a supersession, put another part there with --instead, or look for old stock."
            }
        }
    }
}
