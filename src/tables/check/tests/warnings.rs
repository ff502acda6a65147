//! What is a warning.

use super::examples;

examples! {
    an_old_number_that_is_superseded_only_on_some_machines_should_be_listed:
        "unlisted-part" at "positions" / "IM-05" / "part", supersessions: "IM-05,IM-20,,2001,," => "IM-05,IM-20,,2001,,1998-";
    work_with_a_part_that_is_listed_under_another_number_should_be_listed:
        "unlisted-part" at "worklog" / "ZZ-1" / "part", worklog: "" => "2021,tender,vent,ZZ-1,,,";

    two_spellings_of_one_number_are_doubtful:
        "two-spellings" at "parts" / "ga.10" / "part", parts: "" => "ga.10,gasket,,each,";
    contents_that_stand_twice_are_doubtful:
        "contents-twice" at "contains" / "im20" / "contains", contains: "" => "KI-10,im20,1,";
    two_sizes_of_one_feature_are_doubtful:
        "two-sizes" at "dimensions" / "2.5" / "size", dimensions: "" => "OR-10,section,2.5";
    a_size_on_the_bag_that_cannot_be_read_is_doubtful:
        "size-not-read" at "parts" / "24.2/3" / "size", parts: "unit,status" => "unit,status,size", parts: "" => "PW-20,plain washer,,,,24.2/3";
    a_feature_with_nearly_a_known_name_is_doubtful:
        "feature-name" at "seats" / "grove depth" / "feature", seats: "" => "impeller,grove depth,2,,";
    a_feature_under_another_word_of_the_trade_is_doubtful:
        "feature-name" at "dimensions" / "ID" / "feature", dimensions: "" => "OR-10,ID,10";
    another_name_that_is_a_type_already_is_doubtful:
        "other-name-taken" at "types" / "o-ring" / "also_called", types: "reed box" => "reed box; o-ring";

    a_row_parted_by_another_delimiter_is_doubtful:
        "other-delimiter" at "parts" / "OR-99;o-ring" / "part", parts: "" => "OR-99;o-ring;mixed;";

    pints_of_which_nobody_says_whose_are_doubtful:
        "whose-measure" at "stock" / "OI-10,2.6 pints" / "quantity", stock: "" => "OI-10,2.6 pints,";

    verdicts_that_contradict_each_other_are_doubtful:
        "contradicting-verdicts" at "retrofits" / "thermostat,no" / "verdict", retrofits: "" => "TH-20,thermostat,no,,";
    seats_that_disagree_are_doubtful:
        "seats-disagree" at "seats" / "20.2" / "size", seats: "" => "impeller,bore,20.2,,";

    years_that_no_row_of_a_position_holds_are_doubtful:
        "hole-in-years" at "positions" / "2001-" / "years", positions: "2000-" => "2001-";
    years_that_no_row_holds_on_machines_of_one_trait_are_doubtful:
        "hole-in-years" at "positions" / "2001-,,EU" / "years", positions: "TH-10,,,,,EU" => "TH-10,,,-1999,,EU,head-cover,open-head,,\nthermostat,Head,TH-20,,,2001-,,EU";
    serials_that_no_row_of_a_position_holds_are_doubtful:
        "hole-in-serials" at "positions" / "B5001-" / "serials", positions: "B5000-" => "B5001-";
    a_row_for_years_in_which_its_model_was_not_built_is_doubtful:
        "row-for-no-machine" at "positions" / "2005-" / "years", positions: "IM-05,,TK8,," => "IM-05,,TK8,,,,pump-cover,open-pump,,\nimpeller,Pump,SC-10,,TK8,2005-,";
    a_row_for_a_trait_and_against_it_is_doubtful:
        "row-for-no-machine" at "positions" / "not EU" / "only", positions: "TH-10,,,,,EU" => "TH-10,,,,,EU; not EU";

    a_cell_that_leads_to_itself_is_doubtful:
        "superseded-by-itself" at "supersessions" / "SC-10,SC-10" / "new", supersessions: "" => "SC-10,SC-10,,,,";

    a_blank_quantity_of_something_counted_by_volume_is_doubtful:
        "quantity-not-said" at "positions" / "OI-10" / "quantity", positions: "" => "oil,Gearcase,OI-10,,,,,,,,,";
    a_blank_pack_of_something_counted_by_volume_is_doubtful:
        "quantity-not-said" at "offers" / "8.50" / "pack", offers: "" => "chandler,OI-10,8.50,";
    a_new_size_beyond_the_wear_limits_is_doubtful:
        "size-outside-limits" at "seats" / "1.0 h8" / "size", seats: "10 h8" => "1.0 h8";
    a_bore_of_nothing_is_doubtful:
        "size-of-none" at "seats" / "0 mm" / "size", seats: "bore,20," => "bore,0 mm,";
    a_new_size_above_the_most_is_doubtful:
        "size-outside-limits" at "seats" / "20.5" / "size", seats: "bore,20," => "bore,20.5,";

    a_job_without_lines_is_doubtful:
        "job-without-lines" at "jobs" / "paint" / "job", jobs: "" => "paint,";
    a_job_that_nobody_can_get_at_is_doubtful:
        "job-out-of-reach" at "job_lines" / "reeds" / "position", jobs: "" => "renew-reeds,", job_lines: "" => "renew-reeds,,reeds,,,";
    an_operation_that_nothing_leads_to_is_doubtful:
        "unused-operation" at "operations" / "polish" / "operation", operations: "" => "polish,open-head,,,,,";
    an_option_that_is_only_denied_is_doubtful:
        "option-only-denied" at "job_lines" / "not short" / "option", job_lines: "" => "renew-anode,not short,vent,,,";
    two_options_spelt_almost_alike_are_doubtful:
        "option-near-miss" at "job_lines" / "overhual" / "option", job_lines: "" => "renew-anode,overhaul,vent,,,\nrenew-anode,not overhual,drain-plug,,,";

    a_position_whose_part_has_no_type_is_doubtful:
        "position-without-rule" at "positions" / "reeds" / "when_disturbed", parts: "RC-10,reed box" => "RC-10,";
    a_position_whose_type_has_no_rule_is_doubtful:
        "position-without-rule" at "positions" / "reeds" / "when_disturbed", types: "inspect" => "";
    a_fitted_part_without_a_rule_is_doubtful:
        "position-without-rule" at "worklog" / "XX-1" / "part", parts: "" => "XX-1,,,,", worklog: "" => "2021,dinghy,anode,XX-1,,,";
    a_position_whose_part_nobody_has_looked_up_is_doubtful:
        "position-without-part" at "positions" / "mystery" / "part", positions: "" => "mystery,Intake,,,,,,,,,,";
    a_gasket_that_may_be_used_again_is_doubtful:
        "single-use-against-type" at "parts" / "GA-10,gasket,no" / "single_use", parts: "GA-10,gasket," => "GA-10,gasket,no";

    a_joint_in_which_nothing_seals_is_doubtful:
        "unsealed-joint" at "operations" / "anode-off" / "opens", joints: "anode-seat,yes" => "anode-seat,no";
    a_joint_in_which_nothing_seals_on_one_of_the_machines_is_doubtful:
        "unsealed-joint" at "operations" / "open-head" / "opens", positions: "upper-seal,Head,SE-10,set,," => "upper-seal,Head,SE-10,set,TK9,", positions: "lower-seal,Head,SE-10,set,," => "lower-seal,Head,SE-10,set,TK9,";
    a_joint_whose_seal_was_taken_out_of_one_of_the_machines_is_doubtful:
        "unsealed-joint" at "operations" / "open-pump" / "opens", worklog: "" => "2018,dinghy,pump-gasket,GA-10,,,\n2021,dinghy,pump-gasket,-,,,\n2017,dinghy,pump-gasket,GA-20,,,";
    an_opened_joint_without_a_position_is_doubtful:
        "joint-without-position" at "operations" / "anode-seat; lid" / "opens", operations: ",anode-seat," => ",anode-seat; lid,", joints: "" => "lid,";
    a_joint_of_a_position_that_is_almost_one_that_is_opened_is_doubtful:
        "joint-near-miss" at "positions" / "pump-covr" / "joint", positions: "SC-10,4,,,,,pump-cover" => "SC-10,4,,,,,pump-covr";
    a_joint_that_nothing_uses_is_doubtful:
        "unused-joint" at "joints" / "lid" / "joint", joints: "" => "lid,";

    a_set_at_two_positions_that_is_counted_at_each_is_doubtful:
        "set-counted-each" at "positions" / "lower-seal" / "quantity", positions: "lower-seal,Head,SE-10,set" => "lower-seal,Head,SE-10,1";
    a_gasket_that_contains_others_and_sits_at_two_positions_is_doubtful:
        "set-counted-each" at "positions" / "vent-seal" / "quantity", contains: "" => "OR-10,WA-10,1,", positions: "" => "vent-seal,Gearcase,OR-10,,,,,,drain,,,";

    two_replacements_of_equal_standing_are_doubtful:
        "supersession-tie" at "supersessions" / "IM-05,SC-10" / "new", supersessions: "" => "IM-05,SC-10,,2001,,";
    a_group_and_a_row_of_equal_standing_are_doubtful:
        "supersession-tie" at "supersessions" / "AN-05,PL-10" / "new", supersessions: "" => "AN-05,PL-10,,,,";
    a_discontinued_part_that_a_kit_would_order_is_doubtful:
        "discontinued-without-successor" at "parts" / "GA-20" / "status", parts: "GA-20,gasket,,each," => "GA-20,gasket,,each,discontinued";
    a_discontinued_part_of_which_the_shelf_is_empty_is_doubtful:
        "discontinued-without-successor" at "parts" / "GA-20" / "status", parts: "GA-20,gasket,,each," => "GA-20,gasket,,each,discontinued", stock: "" => "GA-20,0,";
    a_number_that_became_a_discontinued_one_is_doubtful:
        "discontinued-without-successor" at "parts" / "TH-20" / "status", parts: "available" => "discontinued";
    a_discontinued_fluid_that_an_operation_uses_is_doubtful:
        "discontinued-without-successor" at "parts" / "XX-1" / "status", parts: "" => "XX-1,grease,,,discontinued", operations: "0.35 L" => "0.35 L; XX-1=as-needed";

    a_part_that_does_not_fit_and_has_needs_is_doubtful:
        "no-with-needs" at "retrofits" / "no,pump" / "needs", retrofits: "fits-with" => "no";
    a_part_that_fits_with_nothing_named_is_doubtful:
        "fits-with-nothing" at "retrofits" / "thermostat,fits-with" / "verdict", retrofits: "thermostat,fits" => "thermostat,fits-with";

    a_seal_that_is_in_no_joint_is_doubtful:
        "seal-without-joint" at "positions" / "plug-ring" / "joint", positions: "" => "plug-ring,Gearcase,OR-10,,,,,,,drain-oil,,";
    a_seal_that_no_position_names_is_doubtful:
        "seal-without-position" at "parts" / "OR-90" / "part", parts: "" => "OR-90,o-ring,,,";
    a_blank_pack_of_something_that_is_used_by_weight_is_doubtful:
        "quantity-not-said" at "offers" / "GR-10" / "pack", parts: "" => "GR-10,grease,,,", operations: "0.35 L" => "0.35 L; GR-10=5 g", offers: "" => "chandler,GR-10,4,";

    a_joint_that_slipped_into_the_traits_is_doubtful:
        "cell-in-wrong-column" at "positions" / "pump-screws" / "only", positions: "pump-screws,Pump,SC-10,4,,,,,pump-cover,,,8" => "pump-screws,Pump,SC-10,4,,,,pump-cover,,,,8";
    a_way_in_that_slipped_into_the_joints_is_doubtful:
        "cell-in-wrong-column" at "positions" / "reeds" / "joint", positions: "reeds,Intake,RC-10,,,,,,,,," => "reeds,Intake,RC-10,,,,,,open-head";
    a_short_row_that_ends_in_a_trait_of_nobody_is_doubtful:
        "row-too-short" at "positions" / "reeds" / "only", positions: "reeds,Intake,RC-10,,,,,,,,," => "reeds,Intake,RC-10,,,,,two-stroke";

    a_trait_that_is_almost_one_of_a_machine_is_doubtful:
        "trait-near-miss" at "positions" / "long shaft" / "only", positions: "anode,Gearcase,AN-10,,,,," => "anode,Gearcase,AN-10,,,,,long shaft";
    readings_for_which_no_row_speaks_are_a_warning:
        "selections-gap" at "selections" / "0.1,0.2" / "most", selections: "0.21," => "0.25,";
    a_log_row_that_confirms_what_nobody_asks_to_look_at_is_a_warning:
        "confirms-nothing" at "worklog" / "IM-20" / "confirms", worklog: "job,options" => "job,options,confirms",
        worklog: "IM-20,,open-pump,renew-impeller" => "IM-20,,open-pump,renew-impeller,,IM-20";
}
