//! How a thing is called: its name, and its key behind it.

/// The name with the key in brackets, `Pump plate (pump-plate)`; the key alone where there is no name.
pub fn named_thing(name: &str, key: &str) -> String {
    if name.is_empty() || name == key { key.to_owned() } else { format!("{name} ({key})") }
}
