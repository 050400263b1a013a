//! What a name stands for: what the text or its reader gave it, a coordinate, a constant, or a parameter to be given.

use super::faults::{FaultClass, Read, Span, fault};
use super::functions;
use super::names;
use super::tree::Node;
use super::values::{Values, count};
use super::vectors::Val;

impl Values<'_> {
    pub(super) fn name(&mut self, name: &str, at: Span) -> Read<Val> {
        if let Some((_, v)) = self.bindings.iter().rev().find(|(n, _)| n == name) {
            return Ok(v.clone());
        }
        if let Some(x) = self.lets.get(name) {
            return Ok(Val::num(*x));
        }
        if self.params.contains(name) {
            return Ok(Val::Num(self.var(name)));
        }
        if let Some(k) = self.definition(name) {
            return self.defined(k, at);
        }
        if let Some(v) = self.special.get(name) {
            return Ok(v.clone());
        }
        if let Some(v) = self.indexed(name, at)? {
            return Ok(v);
        }
        let coordinate = match name {
            "x" | "X" => Some("x"),
            "y" | "Y" => Some("y"),
            "z" | "Z" => Some("z"),
            _ => None,
        };
        if let Some(c) = coordinate {
            let c = if self.lets.contains_key(c) { name } else { c };
            return Ok(Val::Num(self.var(c)));
        }
        if let ("U" | "V" | "T", true) = (name, self.style.code) {
            return self.name(&name.to_lowercase(), at);
        }
        if let Some(x) = names::constant(name) {
            if name == "tau" {
                self.remark(at, "τ read as 2π; give tau a value if it is another number");
            }
            return Ok(Val::num(x));
        }
        if name == "eps" && self.style.code {
            self.remark(at, "eps read as the least step from 1 to the next number, 2.2e-16");
            return Ok(Val::num(f64::EPSILON));
        }
        if self.imaginary && self.is_unit(name) {
            return fault(
                FaultClass::Unsupported,
                at,
                format!(
                    "{name} beside a coordinate looks like the imaginary unit, and nothing real is taken of it"
                ),
                format!("take Re(...), Im(...) or |...|; if {name} is a number, give it a value: {name} = 2"),
            );
        }
        if let Some(function) = glued_call(name).filter(|_| !self.style.code) {
            return fault(
                FaultClass::Incomplete,
                at,
                format!("{function} needs its arguments in brackets"),
                format!("{function}(x, y); if {name} is a number, give it a value: {name} = 2"),
            );
        }
        if !self.free.iter().any(|n| n == name) {
            self.free.push(name.to_owned());
            let number = self.free.len();
            if name.chars().count() > 1 && number < 9 {
                let near = super::functions::misspelt(name).map(|f| format!("; did you mean {f}?"));
                let unit = matches!(name, "mm" | "cm" | "km" | "inch" | "inches" | "ft");
                let near = match unit {
                    true => "; as a unit of length it is better left out".to_owned(),
                    false => near.unwrap_or_default(),
                };
                self.remark(at, format!("{name} has no value: a parameter to be given{near}"));
            }
        }
        Ok(Val::Num(self.var(name)))
    }

    /// `a_i` where i is the index of a sum: `a_1`, and of x_1, x_2, x_3 without values the coordinates.
    fn indexed(&mut self, name: &str, at: Span) -> Read<Option<Val>> {
        let Some((base, index)) = name.split_once('_') else { return Ok(None) };
        let bound = self.bindings.iter().rev().find(|(n, _)| n == index);
        let Some((_, Val::Num(k))) = bound else { return Ok(None) };
        let Some(k) = k.as_const() else { return Ok(None) };
        let one = format!("{base}_{k}");
        if base != "x" || self.definition(&one).is_some() || self.lets.contains_key(&one) {
            return self.name(&one, at).map(Some);
        }
        let axis = ["x", "y", "z"].into_iter().zip(1..).find(|(_, n)| f64::from(*n) == k);
        let Some((axis, _)) = axis else { return self.name(&one, at).map(Some) };
        self.remark(at, "x_1, x_2 and x_3 read as x, y and z");
        Ok(Some(Val::Num(self.var(axis))))
    }

    /// The definition that a name means here: the last before, else the first after.
    pub(super) fn definition(&self, name: &str) -> Option<usize> {
        let usable = |k: &usize| self.defs[*k].name == name && self.defs[*k].args.is_empty();
        let before = (0..self.defs.len()).rev().filter(usable).find(|k| self.defs[*k].order < self.order);
        let coordinate = matches!(name, "x" | "y" | "z")
            || name == "p" && self.style.code
            || self.special.contains_key(name);
        before.or_else(|| {
            (0..self.defs.len())
                .filter(usable)
                .find(|k| self.defs[*k].order > self.order && !coordinate && !self.busy[*k])
        })
    }

    fn defined(&mut self, k: usize, at: Span) -> Read<Val> {
        if let Some(v) = &self.memo[k] {
            return Ok(v.clone());
        }
        let defs = self.defs;
        let def = &defs[k];
        if self.busy[k] {
            return fault(
                FaultClass::Unexpected,
                at,
                format!("{} is defined by itself", def.name),
                "write it as one equation without a helper",
            );
        }
        self.busy[k] = true;
        let order = std::mem::replace(&mut self.order, def.order);
        let bindings = std::mem::take(&mut self.bindings);
        let v = self.value(&def.body);
        self.bindings = bindings;
        self.order = order;
        self.busy[k] = false;
        let v = v?;
        self.memo[k] = Some(v.clone());
        Ok(v)
    }

    /// A call of a function that the text defines, if it is one.
    pub(super) fn call_defined(&mut self, name: &str, args: &[Node], at: Span) -> Read<Option<Val>> {
        let defs = self.defs;
        let Some(def) = defs.iter().rev().find(|d| d.name == name && !d.args.is_empty()) else {
            return Ok(None);
        };
        let mut values = Vec::new();
        for a in args {
            values.push(self.value(a)?);
        }
        if let ([Val::Vec(v)], true) = (values.as_slice(), def.args.len() > 1) {
            values = v.iter().cloned().map(Val::Num).collect();
        }
        if values.len() != def.args.len() {
            return fault(
                FaultClass::WrongArguments,
                at,
                format!("{name} takes {} and was given {}", count(def.args.len()), values.len()),
                format!("{name}({})", def.args.join(", ")),
            );
        }
        let bindings: Vec<_> = def.args.iter().cloned().zip(values).collect();
        let outer = std::mem::replace(&mut self.bindings, bindings);
        let order = std::mem::replace(&mut self.order, def.order);
        let v = self.value(&def.body);
        self.order = order;
        self.bindings = outer;
        v.map(Some)
    }
}

/// The function whose brackets were lost in a word, `maxxy`: it takes several numbers, and coordinates are glued to it.
fn glued_call(name: &str) -> Option<&str> {
    (3..name.len().saturating_sub(1)).filter_map(|n| name.split_at_checked(n)).find_map(|(function, rest)| {
        let known = functions::function(function).is_some() && !functions::is_bare(function);
        (known && rest.chars().all(|c| matches!(c, 'x' | 'y' | 'z'))).then_some(function)
    })
}
