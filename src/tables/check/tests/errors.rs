//! What is an error.

use super::examples;

examples! {
    a_machine_of_a_model_that_is_not_listed_is_an_error:
        "dangling-model" at "machines" / "TK7" / "model", machines: "tender,TK9" => "tender,TK7";
    a_scope_for_a_model_that_is_not_listed_is_an_error:
        "dangling-model" at "operations" / "TK7" / "model", operations: "anode-seat,anode,,," => "anode-seat,anode,,,TK8; TK7";
    work_on_a_machine_that_is_not_listed_is_an_error:
        "dangling-machine" at "worklog" / "canoe" / "machine", worklog: "" => "2021,canoe,,,,,";
    a_reading_on_a_machine_that_is_not_listed_is_an_error:
        "dangling-machine" at "measurements" / "canoe" / "machine", measurements: "" => "2021-01-01,canoe,impeller,shaft,9";
    an_order_for_a_machine_that_is_not_listed_is_an_error:
        "dangling-machine" at "orders" / "canoe" / "machine", orders: "1,dinghy" => "1,canoe";
    work_at_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "worklog" / "impeler" / "position", worklog: "2019,dinghy,impeller" => "2019,dinghy,impeler";
    a_reading_at_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "measurements" / "nowhere" / "position", measurements: "impeller" => "nowhere";
    a_seat_of_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "seats" / "nowhere" / "position", seats: "" => "nowhere,bore,1,,";
    a_retrofit_at_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "retrofits" / "nowhere" / "position", retrofits: "TH-20,thermostat" => "TH-20,nowhere";
    a_need_of_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "supersessions" / "nowhere" / "needs", supersessions: "upper-seal" => "upper-seal; nowhere=SC-10";
    a_retrofits_need_of_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "retrofits" / "nowhere" / "needs", retrofits: "pump-gasket=GA-20*1" => "nowhere=-";
    taking_off_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "operations" / "nowhere" / "removes", operations: "anode-seat,anode" => "anode-seat,anode; nowhere";
    a_part_that_arrives_fitted_at_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "contains" / "nowhere" / "position", contains: "pump-gasket" => "nowhere";
    a_job_line_for_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "job_lines" / "nowhere" / "position", job_lines: "" => "renew-anode,,nowhere,,,";
    an_opened_joint_that_nothing_belongs_to_is_an_error:
        "dangling-joint" at "operations" / "nowhere" / "opens", operations: ",anode-seat," => ",anode-seat; nowhere,";
    a_need_of_an_operation_that_is_not_listed_is_an_error:
        "dangling-operation" at "operations" / "nothing" / "needs", operations: "open-pump,drain-oil" => "open-pump,drain-oil; nothing";
    a_position_reached_by_an_operation_that_is_not_listed_is_an_error:
        "dangling-operation" at "positions" / "nothing" / "reached_by", positions: "anode-seat,,," => "anode-seat,nothing,,";
    a_retrofit_with_an_operation_that_is_not_listed_is_an_error:
        "dangling-operation" at "retrofits" / "nothing" / "operations", retrofits: "*1,drain-oil" => "*1,nothing";
    a_job_line_with_an_operation_that_is_not_listed_is_an_error:
        "dangling-operation" at "job_lines" / "nothing" / "operation", job_lines: "" => "renew-anode,,,,,nothing";
    work_by_an_operation_that_is_not_listed_is_an_error:
        "dangling-operation" at "worklog" / "nothing" / "operation", worklog: "IM-20,,open-pump" => "IM-20,,nothing";
    a_line_of_a_job_that_is_not_listed_is_an_error:
        "dangling-job" at "job_lines" / "no-job" / "job", job_lines: "" => "no-job,,anode,,,";
    work_for_a_job_that_is_not_listed_is_an_error:
        "dangling-job" at "worklog" / "no-job" / "job", worklog: "" => "2021,dinghy,,,,,no-job";
    an_order_for_a_job_that_is_not_listed_is_an_error:
        "dangling-job" at "orders" / "no-job" / "job", orders: "renew-impeller" => "no-job";
    an_option_that_the_job_logged_with_it_does_not_ask_about_is_an_error:
        "dangling-option" at "worklog" / "not kti" / "options", worklog: "KIT" => "not kti";
    an_option_in_the_log_without_its_job_is_an_error:
        "dangling-option" at "worklog" / "2021" / "options", worklog: "" => "2021,dinghy,,,,drain-oil,,kit";
    an_offer_of_a_supplier_that_is_not_listed_is_an_error:
        "dangling-supplier" at "offers" / "nobody" / "supplier", offers: "" => "nobody,OI-10,1,1 L";
    an_order_with_a_supplier_that_is_not_listed_is_an_error:
        "dangling-supplier" at "orders" / "nobody" / "supplier", orders: "chandler" => "nobody";
    a_type_that_is_neither_a_type_nor_another_name_for_one_is_an_error:
        "dangling-type" at "parts" / "gaskt" / "type", parts: "GA-20,gasket" => "GA-20,gaskt";
    a_name_of_a_shipped_type_that_the_owner_has_overridden_without_it_is_an_error:
        "dangling-type" at "parts" / "paper" / "type", types: "" => "gasket,,renew,yes", parts: "GA-20,gasket" => "GA-20,paper gasket";
    a_caution_that_is_not_there_is_an_error:
        "dangling-caution" at "operations" / "hot-coolent" / "cautions", operations: "hot-coolant" => "hot-coolent";

    a_dimension_of_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "dimensions" / "XX-1" / "part", dimensions: "" => "XX-1,bore,1";
    the_contents_of_a_set_that_is_not_listed_are_an_error:
        "dangling-part" at "contains" / "XX-1" / "part", contains: "" => "XX-1,SC-10,1,";
    a_set_that_contains_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "contains" / "XX-1" / "contains", contains: "" => "KI-10,XX-1,1,";
    another_number_of_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "equivalents" / "XX-1" / "part", equivalents: "" => "XX-1,ZZ-9";
    a_position_with_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "positions" / "XX-1" / "part", positions: "AN-10" => "XX-1";
    a_supersession_to_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "supersessions" / "XX-2" / "new", supersessions: "" => "XX-1,XX-2,,,,";
    a_supersession_that_only_leads_to_itself_lists_nothing:
        "dangling-part" at "supersessions" / "XX-1,XX-1" / "new", supersessions: "" => "XX-1,XX-1,stays,,,\nXX-1,SC-10,stays,,,";
    a_retrofit_of_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "retrofits" / "XX-1" / "part", retrofits: "" => "XX-1,anode,fits,,";
    a_need_of_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "supersessions" / "XX-1" / "needs", supersessions: "upper-seal" => "upper-seal; anode=XX-1";
    a_use_of_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "operations" / "XX-1" / "uses", operations: "0.35 L" => "0.35 L; XX-1=as-needed";
    a_job_line_with_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "job_lines" / "XX-1" / "part", job_lines: "TH-20" => "XX-1";
    stock_of_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "stock" / "XX-1" / "part", stock: "" => "XX-1,1,";
    an_offer_of_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "offers" / "XX-1" / "part", offers: "" => "chandler,XX-1,1,";
    work_with_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "worklog" / "XX-1" / "part", worklog: "" => "2021,dinghy,anode,XX-1,,,";
    an_order_of_a_part_that_is_not_listed_is_an_error:
        "dangling-part" at "orders" / "XX-1" / "part", orders: "" => "o2,2020-01-02,chandler,XX-1,1,,,,";
    a_part_that_came_and_is_not_listed_is_an_error:
        "dangling-part" at "orders" / "XX-1" / "received_part", orders: "1 L," => "1 L,XX-1";

    a_model_that_stands_twice_is_an_error:
        "double-key" at "models" / "tk8" / "model", models: "" => "tk8,1996-2004";
    a_machine_that_stands_twice_is_an_error:
        "double-key" at "machines" / "Dinghy" / "machine", machines: "" => "Dinghy,TK8,,,";
    a_part_that_stands_twice_is_an_error:
        "double-key" at "parts" / "M6" / "part", parts: "part,type,single_use,unit,status" => "part,type,single_use,unit,status,size", parts: "RC-10,reed box,,," => "RC-10,reed box,,,,\nSC-10,screw,,,,M6";
    a_joint_that_stands_twice_is_an_error:
        "double-key" at "joints" / "anode-seat,no" / "joint", joints: "" => "anode-seat,no";
    a_supplier_that_stands_twice_is_an_error:
        "double-key" at "suppliers" / "USD" / "supplier", suppliers: "" => "chandler,USD";
    a_type_that_stands_twice_is_an_error:
        "double-key" at "types" / "renew" / "type", types: "" => "Reed Cage,,renew,no";
    a_caution_that_stands_twice_is_an_error:
        "double-key" at "cautions" / "gloves" / "caution", cautions: "" => "cold-hands,Wear gloves.";
    a_position_row_that_stands_twice_is_an_error:
        "double-row" at "positions" / "ANODE" / "position", positions: "" => "ANODE,Gearcase,an10,,,,,,anode-seat,,,";
    a_seat_row_that_stands_twice_is_an_error:
        "double-row" at "seats" / "IMPELLER" / "position", seats: "" => "IMPELLER,bore,20,,20.05";
    a_supersession_row_that_stands_twice_is_an_error:
        "double-row" at "supersessions" / "im05" / "old", supersessions: "" => "im05,IM-20,,2001,,";
    a_retrofit_row_that_stands_twice_is_an_error:
        "double-row" at "retrofits" / "th20" / "part", retrofits: "" => "th20,thermostat,fits,,";
    an_operation_row_that_stands_twice_is_an_error:
        "double-row" at "operations" / "ANODE-OFF" / "operation", operations: "" => "ANODE-OFF,,anode-seat,anode,,,";
    a_job_row_that_stands_twice_is_an_error:
        "double-row" at "jobs" / "RENEW-ANODE" / "job", jobs: "" => "RENEW-ANODE,";
    a_job_line_that_stands_twice_is_an_error:
        "double-row" at "job_lines" / "RENEW-ANODE" / "job", job_lines: "" => "RENEW-ANODE,,anode,,,anode-off";
    two_rows_of_one_number_that_say_different_things_are_an_error:
        "one-number-two-rows" at "parts" / "ga.10" / "part", parts: "" => "ga.10,metal gasket,,,";

    two_parts_at_one_position_of_one_machine_are_an_error:
        "overlapping-rows" at "positions" / "GA-10,2" / "part", positions: "pump-gasket,Pump,GA-20,,,2000-" => "pump-gasket,Pump,GA-20,,,2000-,,,pump-cover,,,\npump-gasket,Pump,GA-10,2,TK9,";
    two_quantities_at_one_position_of_one_machine_are_an_error:
        "overlapping-rows" at "positions" / "SC-10,5" / "quantity", positions: "" => "pump-screws,Pump,SC-10,5,TK8,,,,pump-cover,,,";
    two_parts_for_traits_that_one_machine_carries_are_an_error:
        "overlapping-rows" at "positions" / "long-shaft" / "part", positions: "TH-20,,,,,US" => "TH-20,,,,,long-shaft", machines: "tender,TK9,2006,C200,US; long-shaft" => "tender,TK9,2006,C200,US";
    two_ways_of_one_operation_on_one_machine_are_an_error:
        "overlapping-rows" at "operations" / "0.5 L" / "uses", operations: "" => "drain-oil,,drain,,OI-10=0.5 L,,TK8";
    two_joints_opened_by_one_operation_on_one_machine_are_an_error:
        "overlapping-rows" at "operations" / "head-cover; drain" / "opens", operations: "" => "open-head,,head-cover; drain,,,,TK8";

    supersessions_that_lead_back_are_an_error:
        "supersession-cycle" at "supersessions" / "IM-05,IM-20" / "new", supersessions: "" => "IM-20,IM-04,,,,\nIM-04,IM-05,,,,";
    operations_that_need_each_other_are_an_error:
        "operation-cycle" at "operations" / "drain-oil,open" / "needs", operations: "drain-oil,,drain" => "drain-oil,open-pump,drain";
    an_operation_that_needs_itself_is_an_error:
        "operation-cycle" at "operations" / "open-head,open" / "needs", operations: "open-head,," => "open-head,open-head,";
    a_set_inside_itself_is_an_error:
        "contains-cycle" at "contains" / "IM-20,1" / "contains", contains: "" => "IM-20,KI-10,1,";

    a_pack_in_a_unit_of_another_kind_is_an_error:
        "unit-of-another-kind" at "offers" / "2 kg" / "pack", offers: "9.50,1 L" => "9.50,2 kg";
    stock_in_a_unit_of_another_kind_is_an_error:
        "unit-of-another-kind" at "stock" / "OI-10,3" / "quantity", stock: "OI-10,1 L" => "OI-10,3";
    a_position_filled_in_a_unit_of_another_kind_is_an_error:
        "unit-of-another-kind" at "positions" / "SC-10,4 ml" / "quantity", positions: "SC-10,4" => "SC-10,4 ml";
    a_use_in_a_unit_of_another_kind_is_an_error:
        "unit-of-another-kind" at "operations" / "0.35 kg" / "uses", operations: "0.35 L" => "0.35 kg";
    a_need_in_a_unit_of_another_kind_is_an_error:
        "unit-of-another-kind" at "retrofits" / "GA-20*1 m" / "needs", retrofits: "GA-20*1" => "GA-20*1 m";
    contents_in_a_unit_of_another_kind_are_an_error:
        "unit-of-another-kind" at "contains" / "1 g" / "quantity", contains: "IM-20,1," => "IM-20,1 g,";
    a_job_line_in_a_unit_of_another_kind_is_an_error:
        "unit-of-another-kind" at "job_lines" / "1 m" / "quantity", job_lines: "TH-20,1," => "SC-10,1 m,";
    work_in_a_unit_of_another_kind_is_an_error:
        "unit-of-another-kind" at "worklog" / "2 ml" / "quantity", worklog: "IM-20,," => "IM-20,2 ml,";
    what_came_in_a_unit_of_another_kind_is_an_error:
        "unit-of-another-kind" at "orders" / "1 kg" / "received_quantity", orders: "1 L" => "1 kg";
    a_set_of_something_counted_by_volume_is_an_error:
        "unit-of-another-kind" at "positions" / "OI-10,set" / "quantity", positions: "" => "oil,Gearcase,OI-10,set,,,,,,,,";
    a_least_above_the_most_is_an_error:
        "least-above-most" at "seats" / "20.06" / "least", seats: "20,,20.05" => "20,20.06,20.05";

    a_job_line_that_names_nothing_is_an_error:
        "empty-job-line" at "job_lines" / "anode,,,,2," / "position", job_lines: "" => "renew-anode,,,,2,";
    nothing_without_a_position_is_an_error:
        "nothing-without-position" at "job_lines" / ",-," / "part", job_lines: "" => "renew-anode,,,-,,";
    a_part_chosen_by_measuring_at_a_position_that_does_not_exist_is_an_error:
        "dangling-position" at "selections" / "nowhere" / "position", selections: "" => "nowhere,bore,1,2,OR-10";
    a_carrier_that_does_not_exist_is_an_error:
        "dangling-position" at "positions" / "nowhere" / "carried_by", positions: ",torque" => ",torque,carried_by",
        positions: "" => "cap,Head,RC-10,,,,,,,,,,nowhere";
    positions_that_carry_each_other_are_an_error:
        "carried-by-cycle" at "positions" / "cap,Head" / "carried_by", positions: ",torque" => ",torque,carried_by",
        positions: "" => "cap,Head,RC-10,,,,,,,,,,cup\ncup,Head,RC-10,,,,,,,,,,cap";
    readings_for_which_two_rows_speak_are_an_error:
        "selections-overlap" at "selections" / "0.18" / "least", selections: "0.21," => "0.18,";
    a_line_of_a_plan_that_is_not_listed_is_an_error:
        "dangling-name" at "plan_lines" / "summer" / "plan", plan_lines: "spring" => "summer";
}
