//! Between the engine's values and ours. Forms travel inside the engine as [`Thing`].

use std::collections::BTreeMap;
use std::sync::Arc;

use rhai::{Dynamic, FnPtr, Map};

use crate::value::{Function, Value};

/// A field, solid, surface, curve or piece, as the engine carries it.
#[derive(Clone, Debug)]
pub(super) struct Thing(pub Value);

/// A range written `a..b` or `a..=b` in a script is a list of its two ends.
fn range(value: &Dynamic) -> Option<Value> {
    let pair = |a: i64, b: i64| Value::List(vec![Value::Whole(a), Value::Whole(b)]);
    if let Some(r) = value.clone().try_cast::<std::ops::Range<i64>>() {
        return Some(pair(r.start, r.end));
    }
    value.clone().try_cast::<std::ops::RangeInclusive<i64>>().map(|r| pair(*r.start(), *r.end()))
}

/// Our value; `None` for what only the engine knows.
pub(super) fn value(given: &Dynamic) -> Option<Value> {
    let given = given.flatten_clone();
    if given.is_unit() {
        return Some(Value::Nothing);
    }
    if let Ok(i) = given.as_int() {
        return Some(Value::Whole(i));
    }
    if let Ok(x) = given.as_float() {
        return Some(Value::Number(x));
    }
    if let Ok(b) = given.as_bool() {
        return Some(Value::Truth(b));
    }
    if let Ok(c) = given.as_char() {
        return Some(Value::text(c.to_string()));
    }
    if let Ok(t) = given.as_immutable_string_ref() {
        return Some(Value::text(t.as_str()));
    }
    if let Some(thing) = given.read_lock::<Thing>() {
        return Some(thing.0.clone());
    }
    if let Ok(list) = given.as_array_ref() {
        return list.iter().map(value).collect::<Option<Vec<_>>>().map(Value::List);
    }
    if let Ok(map) = given.as_map_ref() {
        let entries = map.iter().map(|(k, v)| value(v).map(|v| (k.to_string(), v)));
        return entries.collect::<Option<BTreeMap<_, _>>>().map(Value::Map);
    }
    if let Some(f) = given.read_lock::<FnPtr>() {
        let name = if f.is_anonymous() { "a closure".to_owned() } else { f.fn_name().to_owned() };
        return Some(Value::Function(Function { name, handle: Arc::new(f.clone()) }));
    }
    range(&given)
}

/// The engine's value.
pub(super) fn dynamic(value: Value) -> Dynamic {
    match value {
        Value::Nothing => Dynamic::UNIT,
        Value::Truth(b) => b.into(),
        Value::Whole(i) => i.into(),
        Value::Number(x) => x.into(),
        Value::Text(t) => t.to_string().into(),
        Value::List(items) => items.into_iter().map(dynamic).collect::<Vec<_>>().into(),
        Value::Map(items) => {
            let map: Map = items.into_iter().map(|(k, v)| (k.into(), dynamic(v))).collect();
            map.into()
        }
        Value::Function(f) => match f.handle.downcast_ref::<FnPtr>() {
            Some(pointer) => Dynamic::from(pointer.clone()),
            None => Dynamic::UNIT,
        },
        thing => Dynamic::from(Thing(thing)),
    }
}

/// The kind behind one of the engine's type names.
pub(super) fn kind_of_type(name: &str) -> &'static str {
    let name = name.rsplit("::").next().unwrap_or(name).trim_start_matches('&').trim();
    match name {
        "i64" | "f64" | "int" | "float" | "INT" | "FLOAT" => "a number",
        "string" | "String" | "ImmutableString" | "str" | "char" | "&str" => "a text",
        "bool" => "true or false",
        "array" | "Array" | "Vec<Dynamic>" => "a list",
        "map" | "Map" => "a map",
        "Fn" | "FnPtr" => "a function",
        "()" | "unit" => "nothing",
        "Thing" | "form" => "a form",
        _ if name.contains("ange") => "a range",
        _ => "another kind of value",
    }
}
