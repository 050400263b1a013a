//! Functions for lists, maps and texts that the engine brings, told of here so that help and completion know them.

/// A function that the language takes over from its engine.
#[derive(Clone, Copy, Debug)]
pub struct Borrowed {
    /// As a script writes it.
    pub name: &'static str,
    /// How it is called.
    pub signature: &'static str,
    /// One sentence.
    pub doc: &'static str,
    /// A script that shows it, and its value.
    pub example: (&'static str, &'static str),
}

/// Every one of them.
pub fn borrowed() -> &'static [Borrowed] {
    const fn b(
        name: &'static str,
        signature: &'static str,
        doc: &'static str,
        example: (&'static str, &'static str),
    ) -> Borrowed {
        Borrowed { name, signature, doc, example }
    }
    const ALL: &[Borrowed] = &[
        b("len", "list.len()", "How many items, entries or letters.", ("[4, 5, 6].len()", "3")),
        b("push", "list.push(item)", "Puts an item at the end.", ("let a = [1]; a.push(2); a", "[1, 2]")),
        b("pop", "list.pop()", "Takes the last item out and gives it.", ("let a = [1, 2]; a.pop()", "2")),
        b(
            "insert",
            "list.insert(at, item)",
            "Puts an item at a place.",
            ("let a = [1, 3]; a.insert(1, 2); a", "[1, 2, 3]"),
        ),
        b(
            "remove",
            "list.remove(at)",
            "Takes the item at a place out and gives it.",
            ("let a = [1, 2]; a.remove(0)", "1"),
        ),
        b(
            "map",
            "list.map(|item| …)",
            "The list of what a function gives for each item.",
            ("[1, 2].map(|i| 10*i)", "[10, 20]"),
        ),
        b(
            "filter",
            "list.filter(|item| …)",
            "The items for which a function gives true.",
            ("[1, 2, 3].filter(|i| i > 1)", "[2, 3]"),
        ),
        b(
            "reduce",
            "list.reduce(|so_far, item| …, start)",
            "One value from all items, taken in order.",
            ("[1, 2, 3].reduce(|s, i| s + i, 0)", "6"),
        ),
        b(
            "contains",
            "list.contains(item)",
            "True when an item, entry or part is there.",
            ("[1, 2].contains(2)", "true"),
        ),
        b(
            "reverse",
            "list.reverse()",
            "Turns the order round.",
            ("let a = [1, 2]; a.reverse(); a", "[2, 1]"),
        ),
        b(
            "sort",
            "list.sort()",
            "Puts numbers or texts in order.",
            ("let a = [2, 1]; a.sort(); a", "[1, 2]"),
        ),
        b(
            "extract",
            "list.extract(from, count)",
            "Some of the items, as a new list.",
            ("[1, 2, 3].extract(1, 2)", "[2, 3]"),
        ),
        b("keys", "map.keys()", "The names of a map's entries, as a list.", ("#{ a: 1 }.keys()", "[a]")),
        b(
            "values",
            "map.values()",
            "The values of a map's entries, as a list.",
            ("#{ a: 1 }.values()", "[1]"),
        ),
        b(
            "range",
            "range(from, to, step)",
            "Numbers a step apart, for `for`; `to` is left out.",
            ("let s = 0; for i in range(0, 6, 2) { s += i } s", "6"),
        ),
        b("print", "print(value)", "Says a line.", ("print(\"warm wax\")", "")),
        b("to_upper", "text.to_upper()", "The text in capitals.", ("\"wax\".to_upper()", "WAX")),
        b(
            "split",
            "text.split(mark)",
            "The parts between marks, as a list.",
            ("\"a,b\".split(\",\")", "[a, b]"),
        ),
        b("to_string", "value.to_string()", "The value as a text.", ("(1/4).to_string()", "0.25")),
    ];
    ALL
}
