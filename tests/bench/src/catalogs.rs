//! Makes believable catalogs of any size, the same for the same size: many models, each of assemblies whose positions
//! share joints, reached by operations; parts of the usual types with sizes; numbers that became others.
//!
//! All of it is invented data.

use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::Path;

/// Positions in an assembly; every eight of them share a joint.
const IN_ASSEMBLY: usize = 24;

/// Assemblies of a model.
const IN_MODEL: usize = 80;

/// Type, words of its name, whether its size is one of a ring, a thread, a bearing or none.
const KINDS: &[(&str, &str, Form)] = &[
    ("o-ring", "O-ring", Form::Ring),
    ("shaft seal", "Oil seal", Form::Bearing),
    ("gasket", "Gasket", Form::None),
    ("sealing washer", "Sealing washer", Form::Washer),
    ("bolt", "Hexagon bolt", Form::Thread),
    ("screw", "Pan head screw", Form::Thread),
    ("ball bearing", "Ball bearing", Form::Bearing),
    ("retaining ring", "Circlip", Form::Single),
    ("washer", "Plain washer", Form::Washer),
    ("nut", "Nut", Form::Thread),
    ("hose", "Hose", Form::None),
    ("cotter pin", "Cotter pin", Form::Washer),
    ("housing", "Housing", Form::None),
    ("cover", "Cover", Form::None),
    ("shaft", "Shaft", Form::None),
    ("gear", "Gear", Form::None),
];

#[derive(Clone, Copy)]
enum Form {
    Ring,
    Bearing,
    Washer,
    Thread,
    Single,
    None,
}

const PLACES: &[&str] = &[
    "gearcase",
    "water pump",
    "thermostat",
    "carburettor",
    "crankcase",
    "cylinder head",
    "flywheel",
    "starter",
    "propeller shaft",
    "driveshaft",
    "clutch",
    "intake",
    "exhaust",
    "fuel pump",
    "governor",
    "swivel",
    "trim",
    "lower unit",
    "bell housing",
    "tiller",
    "oil pump",
    "camshaft",
    "rocker cover",
    "radiator",
    "fan",
    "alternator",
];

const SIDES: &[&str] =
    &["upper", "lower", "front", "rear", "inner", "outer", "left", "right", "middle", "long"];
const STUFFS: &[&str] = &[
    "NBR",
    "FKM",
    "EPDM",
    "steel",
    "stainless steel",
    "aluminium",
    "brass",
    "fibre",
    "copper",
    "PTFE",
];

/// What a catalog holds.
#[derive(Debug, Clone, Copy, Default)]
pub struct Counts {
    pub parts: usize,
    pub positions: usize,
    pub supersessions: usize,
    pub models: usize,
    pub jobs: usize,
}

/// A number that looks random and is the same every time.
pub fn mixed(seed: u64) -> u64 {
    let mut z = seed.wrapping_add(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

fn of<'a>(list: &[&'a str], seed: u64) -> &'a str {
    list[(mixed(seed) % list.len() as u64) as usize]
}

/// The number of a part: three shapes, as parts lists have.
pub fn part_number(i: usize) -> String {
    let serial = i * 7 + (mixed(i as u64) % 7) as usize;
    match i % 3 {
        0 => format!("{:02}-{:06}", 10 + i % 83, serial),
        1 => format!("TV{:05}-{:03}", serial % 100_000, serial / 100_000),
        _ => format!("{:03}.{:03}.{:03}", serial / 1_000_000, serial / 1000 % 1000, serial % 1000),
    }
}

pub fn model(m: usize) -> String {
    format!("M{m:04}")
}

pub fn machine(m: usize) -> String {
    format!("machine-{m:04}")
}

pub fn job(m: usize, a: usize) -> String {
    format!("m{m:04}-a{a:02}-service")
}

pub fn position(i: usize) -> String {
    let (assembly, place) = (i / IN_ASSEMBLY, i % IN_ASSEMBLY);
    format!("m{:04}-a{:02}-{:02}", assembly / IN_MODEL, assembly % IN_MODEL, place)
}

/// The part at a position: most are of their own model, and a fifth are common to all.
fn part_at(i: usize, parts: usize) -> usize {
    if mixed(i as u64 ^ 0x77).is_multiple_of(5) {
        (mixed(i as u64 ^ 0x1234) % (parts as u64 / 50 + 1)) as usize
    } else {
        (i * 2 / 3) % parts
    }
}

fn kind(i: usize) -> (&'static str, &'static str, Form) {
    KINDS[(mixed(i as u64 ^ 0xabc) % KINDS.len() as u64) as usize]
}

fn size(i: usize, form: Form) -> String {
    let r = mixed(i as u64 ^ 0x51);
    let (a, b, c) = (r % 90 + 3, r / 100 % 40, r / 10_000 % 12);
    match form {
        Form::Ring => {
            format!(
                "{}.{} x {}",
                a,
                b % 10,
                ["1.5", "1.78", "2", "2.5", "2.62", "3", "3.53"][(c % 7) as usize]
            )
        }
        Form::Bearing => format!("{a} x {} x {}", a + b + 6, c + 5),
        Form::Washer => format!("{} x {} x 1.5", a / 3 + 3, a / 3 + 8),
        Form::Thread => format!("M{}x{}", [4, 5, 6, 8, 10, 12][(b % 6) as usize], a / 5 * 5 + 8),
        Form::Single => format!("{a}"),
        Form::None => String::new(),
    }
}

/// The type and the size of a part.
pub fn type_and_size(i: usize) -> (&'static str, String) {
    let (kind, _, form) = kind(i);
    (kind, size(i, form))
}

/// The text of one row of parts, without its line end.
pub fn part_row(i: usize) -> String {
    let seed = i as u64;
    let (kind, name, form) = kind(i);
    let status = if mixed(seed ^ 9).is_multiple_of(9) { "discontinued" } else { "" };
    format!(
        "{},{kind},\"{name}, {} {}\",{},Tolvane,{},,,{status},,invented parts list",
        part_number(i),
        of(PLACES, seed ^ 1),
        of(SIDES, seed ^ 2),
        size(i, form),
        of(STUFFS, seed ^ 3),
    )
}

/// Writes a catalog of so many parts, with one and a half times as many positions and a fifth as many supersessions.
pub fn write(folder: &Path, parts: usize) -> io::Result<Counts> {
    fs::create_dir_all(folder)?;
    let table = |name: &str, header: &str| -> io::Result<BufWriter<File>> {
        let mut file =
            BufWriter::with_capacity(1 << 20, File::create(folder.join(format!("{name}.csv")))?);
        writeln!(file, "# Invented data for measuring.\n{header}")?;
        Ok(file)
    };
    let mut counts = Counts { parts, ..Counts::default() };
    let mut file =
        table("parts", "part,type,name,size,maker,material,single_use,unit,status,note,source")?;
    for i in 0..parts {
        writeln!(file, "{}", part_row(i))?;
    }
    file.flush()?;

    counts.positions = parts * 3 / 2;
    let mut file = table(
        "positions",
        "position,assembly,figure,name,part,quantity,model,years,serials,only,joint,reached_by,when_disturbed,torque,note,source",
    )?;
    for i in 0..counts.positions {
        let (assembly, place) = (i / IN_ASSEMBLY, i % IN_ASSEMBLY);
        let (m, a) = (assembly / IN_MODEL, assembly % IN_MODEL);
        let part = part_at(i, parts);
        let years = if mixed(i as u64 ^ 5).is_multiple_of(4) { "1990-2004" } else { "" };
        writeln!(
            file,
            "{},{} {a},{},{} {},{},{},{},{years},,,m{m:04}-a{a:02}-j{},m{m:04}-a{a:02}-open-{},,,,invented parts list",
            position(i),
            of(PLACES, assembly as u64),
            place + 1,
            kind(part).1.to_lowercase(),
            of(SIDES, i as u64),
            part_number(part),
            mixed(i as u64) % 4 + 1,
            model(m),
            place / 8,
            place / 8,
        )?;
    }
    file.flush()?;

    let mut file = table(
        "supersessions",
        "old,new,quantity,together,swap,since,needs,model,years,serials,only,note,source",
    )?;
    for i in (0..parts)
        .filter(|i| i % 5 < 4 && i + 1 < parts && mixed(*i as u64 ^ 0x5e).is_multiple_of(4))
    {
        counts.supersessions += 1;
        writeln!(
            file,
            "{},{},,,one-way,{},,,,,,,invented parts list",
            part_number(i),
            part_number(i + 1),
            1995 + i % 20
        )?;
    }
    file.flush()?;

    let assemblies = counts.positions.div_ceil(IN_ASSEMBLY);
    counts.models = assemblies.div_ceil(IN_MODEL);
    let mut models = table("models", "model,name,maker,years,note")?;
    let mut machines = table("machines", "machine,model,year,serial,traits,hours,bought,note")?;
    for m in 0..counts.models {
        writeln!(models, "{},Model {m},Tolvane,1988-2006,", model(m))?;
        writeln!(machines, "{},{},{},B{},,250,,", machine(m), model(m), 1988 + m % 18, 1000 + m)?;
    }
    models.flush()?;
    machines.flush()?;

    let mut operations = table(
        "operations",
        "operation,name,needs,opens,removes,uses,tools,minutes,cautions,strip,refit,model,years,serials,only,source",
    )?;
    let mut jobs = table("jobs", "job,name,model,years,serials,only,addresses,note,source")?;
    let mut lines = table(
        "job_lines",
        "job,option,position,part,quantity,operation,model,years,serials,only,note",
    )?;
    for assembly in 0..assemblies {
        let (m, a) = (assembly / IN_MODEL, assembly % IN_MODEL);
        let job = job(m, a);
        for joint in 0..3 {
            let needs = if joint > 0 {
                format!("m{m:04}-a{a:02}-open-{}", joint - 1)
            } else {
                String::new()
            };
            writeln!(
                operations,
                "m{m:04}-a{a:02}-open-{joint},Open joint {joint},{needs},m{m:04}-a{a:02}-j{joint},,,socket 10,{},,,,,,,,invented parts list",
                5 + a % 20
            )?;
        }
        writeln!(jobs, "{job},Service of assembly {a},{},,,,,,invented parts list", model(m))?;
        let last = (assembly * IN_ASSEMBLY + 20).min(counts.positions - 1);
        writeln!(lines, "{job},,{},,,,,,,,", position(last))?;
        counts.jobs += 1;
    }
    operations.flush()?;
    jobs.flush()?;
    lines.flush()?;
    Ok(counts)
}
