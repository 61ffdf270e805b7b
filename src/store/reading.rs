//! From the tree of a file to a value, with every mistake found at once.
//!
//! The types of the nouns (their serde shapes) are the single truth about what may stand where. A
//! mistake stops serde; it is noted with the exact node it concerns, that node is set aside, and reading
//! starts again, until the rest reads well: so ten mistakes are ten findings after one look. A required
//! field that is set aside or missing is stood in for by any value, so that nothing behind it is hidden.
//! What a number or letter means is left to `ron`.

use std::cell::RefCell;

use serde::de::{self, DeserializeOwned, DeserializeSeed, IntoDeserializer, Visitor};

use crate::base::{order, text};
use crate::store::aside::Aside;
use crate::store::misread::{Misread, Mistake, expected_words};
use crate::store::stand_in::StandIn;
use crate::store::tree::{Entry, Kind, Node};

/// A value as far as it could be read, and every mistake.
pub(crate) struct Read<T> {
    /// The value; nothing when the mistakes leave none.
    pub value: Option<T>,
    /// The mistakes, in the order of the text.
    pub mistakes: Vec<Misread>,
    /// Only whole optional fields were set aside, so what the value means can still be judged.
    pub is_sound: bool,
}

/// Most mistakes told of one file; a file with more is not a file of this kind.
const MOST_MISTAKES: usize = 100;

/// Reads a value from a tree.
pub(crate) fn read<T: DeserializeOwned>(root: &Node) -> Read<T> {
    let mut attempts = Attempts::at(root);
    let mut value = None;
    let mut is_over = attempts.mistakes.len() >= MOST_MISTAKES;
    while !is_over {
        match T::deserialize(At { node: root, aside: &attempts.aside }) {
            Ok(read) => {
                value = Some(read);
                break;
            }
            Err(misread) => is_over = !attempts.go_on_without(misread),
        }
    }
    let (mistakes, is_sound) = attempts.told();
    Read { value, mistakes, is_sound }
}

/// What the attempts at reading one tree have set aside so far, whatever type is read.
struct Attempts<'t> {
    root: &'t Node,
    aside: RefCell<Aside>,
    mistakes: Vec<Misread>,
}

impl<'t> Attempts<'t> {
    fn at(root: &'t Node) -> Self {
        let mut aside = Aside::default();
        let mut mistakes = Vec::new();
        aside.put_repeated(root, &mut mistakes);
        Self { root, aside: RefCell::new(aside), mistakes }
    }

    /// Notes a mistake and sets aside what it concerns; whether another attempt makes sense.
    fn go_on_without(&mut self, misread: Misread) -> bool {
        let start = misread.node.unwrap_or(self.root.span.start);
        let aside = self.aside.get_mut();
        if misread.is_own {
            return false;
        }
        let can_go_on = if let Mistake::Missing { field, .. } = misread.mistake {
            // A field with a misspelt name is told once, as that.
            let is_told = aside.masked_fields.iter().any(|(group, name)| {
                *group == start && (name == field || text::closest(name, &[field]).is_some())
            });
            let stood_in = aside.stood_in.entry(start).or_default();
            let is_stuck = stood_in.contains(&field);
            stood_in.push(field);
            aside.is_maimed = true;
            if !is_told {
                self.mistakes.push(misread);
            }
            !is_stuck
        } else {
            let can_go_on = start != self.root.span.start && aside.put(self.root, start);
            self.mistakes.push(misread);
            can_go_on
        };
        can_go_on && self.mistakes.len() < MOST_MISTAKES
    }

    /// The mistakes in the order of the text, and whether what was read can still be judged.
    fn told(mut self) -> (Vec<Misread>, bool) {
        order::by_key(&mut self.mistakes, |misread| misread.span.start);
        (self.mistakes, !self.aside.into_inner().is_maimed)
    }
}

/// A node being read.
#[derive(Clone, Copy)]
struct At<'t> {
    node: &'t Node,
    aside: &'t RefCell<Aside>,
}

impl<'t> At<'t> {
    fn inner(self, node: &'t Node) -> Self {
        Self { node, ..self }
    }

    /// The node in words.
    fn found(self) -> String {
        match &self.node.kind {
            Kind::Word(word) => format!("the word `{word}`"),
            Kind::Text(text) => format!("the text {text:?}"),
            Kind::Scalar(text) => format!("`{}`", text::fit(text, 40).trim_end()),
            Kind::Fields { .. } => "a group of fields".to_owned(),
            Kind::Items { .. } => "values in round brackets".to_owned(),
            Kind::List(_) => "a list".to_owned(),
            Kind::Map(_) => "entries in braces".to_owned(),
        }
    }

    fn wrong_kind(self, expected: &str) -> Misread {
        let found = self.found();
        Misread::of(Mistake::Kind { found, expected: expected_words(&expected) }).at(self.node)
    }

    fn number<T: DeserializeOwned>(self, expected: &str) -> Result<T, Misread> {
        let is_number = matches!(self.node.kind, Kind::Scalar(_))
            || matches!(&self.node.kind, Kind::Word(word) if matches!(word.as_str(), "inf" | "NaN"));
        if !is_number {
            return Err(self.wrong_kind(expected));
        }
        // The leaf is read by `ron`.
        let text = self.node.plain().unwrap_or_default();
        ron::from_str(text).map_err(|_| self.wrong_kind(expected))
    }

    fn parts(self, items: &'t [Node]) -> Parts<'t> {
        Parts { at: self, items: items.iter() }
    }

    fn named(self, entries: &'t [Entry]) -> Named<'t> {
        let stood_in = self.aside.borrow().stood_in.get(&self.node.span.start).cloned();
        Named {
            at: self,
            entries: entries.iter(),
            value: None,
            stood_in: stood_in.unwrap_or_default(),
        }
    }
}

/// Numbers are read as the type asked for, so that one out of its range is told as such.
macro_rules! numbers {
    ($($method:ident $visit:ident $type:ty;)+) => { $(
        fn $method<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
            let value = self.number::<$type>(stringify!($type))?;
            visitor.$visit(value).map_err(|misread: Misread| misread.at(self.node))
        }
    )+ };
}

impl<'de> de::Deserializer<'de> for At<'_> {
    type Error = Misread;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        let value = match &self.node.kind {
            Kind::Text(text) => visitor.visit_str(text),
            Kind::Word(word) => match word.as_str() {
                "true" => visitor.visit_bool(true),
                "false" => visitor.visit_bool(false),
                other => visitor.visit_str(other),
            },
            Kind::Scalar(text) => {
                if let Ok(number) = ron::from_str::<u64>(text) {
                    visitor.visit_u64(number)
                } else if let Ok(number) = ron::from_str::<i64>(text) {
                    visitor.visit_i64(number)
                } else {
                    visitor.visit_f64(self.number("f64")?)
                }
            }
            Kind::Fields { entries, .. } | Kind::Map(entries) => {
                visitor.visit_map(self.named(entries))
            }
            Kind::Items { items, .. } | Kind::List(items) => visitor.visit_seq(self.parts(items)),
        };
        value.map_err(|misread: Misread| misread.at(self.node))
    }

    numbers! {
        deserialize_i8 visit_i8 i8;
        deserialize_i16 visit_i16 i16;
        deserialize_i32 visit_i32 i32;
        deserialize_i64 visit_i64 i64;
        deserialize_u8 visit_u8 u8;
        deserialize_u16 visit_u16 u16;
        deserialize_u32 visit_u32 u32;
        deserialize_u64 visit_u64 u64;
        deserialize_f32 visit_f32 f32;
        deserialize_f64 visit_f64 f64;
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.node.plain() {
            Some("true") => visitor.visit_bool(true),
            Some("false") => visitor.visit_bool(false),
            _ => Err(self.wrong_kind("a boolean")),
        }
    }

    fn deserialize_char<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        visitor.visit_char(self.number("a letter")?)
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            Kind::Text(text) => {
                visitor.visit_str(text).map_err(|misread: Misread| misread.at(self.node))
            }
            _ => Err(self.wrong_kind("a string")),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            Kind::Word(word) if word == "None" => visitor.visit_none(),
            Kind::Items { name: Some(name), items } if name == "Some" && items.len() == 1 => {
                visitor.visit_some(self.inner(&items[0]))
            }
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            Kind::Items { name: None, items } if items.is_empty() => visitor.visit_unit(),
            _ => Err(self.wrong_kind("nothing: `()`")),
        }
    }

    fn deserialize_unit_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        visitor.visit_unit()
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        let inner = match &self.node.kind {
            Kind::Items { items, .. } if items.len() == 1 => self.inner(&items[0]),
            _ => self,
        };
        visitor.visit_newtype_struct(inner).map_err(|misread: Misread| misread.at(self.node))
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            Kind::List(items) => visitor
                .visit_seq(self.parts(items))
                .map_err(|misread: Misread| misread.at(self.node)),
            _ => Err(self.wrong_kind("a sequence")),
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        _length: usize,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        match &self.node.kind {
            Kind::Items { items, .. } => visitor
                .visit_seq(self.parts(items))
                .map_err(|misread: Misread| misread.at(self.node)),
            _ => Err(self.wrong_kind("a tuple")),
        }
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        self.deserialize_tuple(length, visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match &self.node.kind {
            Kind::Map(entries) => visitor
                .visit_map(self.named(entries))
                .map_err(|misread: Misread| misread.at(self.node)),
            _ => Err(self.wrong_kind("a map")),
        }
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        _fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        let entries: &[Entry] = match &self.node.kind {
            Kind::Fields { entries, .. } => entries,
            Kind::Items { items, .. } if items.is_empty() => &[],
            _ => return Err(self.wrong_kind("struct")),
        };
        visitor.visit_map(self.named(entries)).map_err(|mut misread: Misread| {
            if let Mistake::Field { of, .. } | Mistake::Missing { of, .. } = &mut misread.mistake
                && of.is_empty()
            {
                *of = name;
            }
            misread.at(self.node)
        })
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        name: &'static str,
        variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        let word =
            match &self.node.kind {
                Kind::Word(word)
                | Kind::Items { name: Some(word), .. }
                | Kind::Fields { name: Some(word), .. } => word,
                Kind::Text(text) => {
                    let found = format!("{text:?}");
                    return Err(Misread::of(Mistake::Word { of: name, found, known: variants })
                        .at(self.node));
                }
                _ => {
                    let found = self.found();
                    return Err(Misread::of(Mistake::Word { of: name, found, known: variants })
                        .at(self.node));
                }
            };
        visitor.visit_enum(Variant { at: self, word }).map_err(|mut misread: Misread| {
            if let Mistake::Word { of, .. } = &mut misread.mistake
                && of.is_empty()
            {
                *of = name;
            }
            misread.at(self.node)
        })
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        match self.node.plain() {
            Some(word) => visitor.visit_str(word).map_err(|misread: Misread| misread.at(self.node)),
            None => Err(self.wrong_kind("a name")),
        }
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Misread> {
        visitor.visit_unit()
    }

    serde::forward_to_deserialize_any! { i128 u128 bytes byte_buf }
}

/// The parts of a list, those set aside left out.
struct Parts<'t> {
    at: At<'t>,
    items: std::slice::Iter<'t, Node>,
}

impl<'de> de::SeqAccess<'de> for Parts<'_> {
    type Error = Misread;

    fn next_element_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Misread> {
        let aside = self.at.aside;
        let next = self.items.find(|item| !aside.borrow().masked.contains(&item.span.start));
        let Some(item) = next else { return Ok(None) };
        seed.deserialize(self.at.inner(item)).map(Some).map_err(|misread| misread.at(item))
    }
}

/// The fields of a group or the entries of a map, those set aside left out; then the stand-ins.
struct Named<'t> {
    at: At<'t>,
    entries: std::slice::Iter<'t, Entry>,
    value: Option<&'t Node>,
    stood_in: Vec<&'static str>,
}

impl<'de> de::MapAccess<'de> for Named<'_> {
    type Error = Misread;

    fn next_key_seed<S: DeserializeSeed<'de>>(
        &mut self,
        seed: S,
    ) -> Result<Option<S::Value>, Misread> {
        let aside = self.at.aside;
        let next =
            self.entries.find(|entry| !aside.borrow().masked.contains(&entry.key.span.start));
        if let Some(entry) = next {
            self.value = Some(&entry.value);
            return seed
                .deserialize(self.at.inner(&entry.key))
                .map(Some)
                .map_err(|misread| misread.at(&entry.key));
        }
        self.value = None;
        match self.stood_in.pop() {
            Some(field) => seed.deserialize(field.into_deserializer()).map(Some),
            None => Ok(None),
        }
    }

    fn next_value_seed<S: DeserializeSeed<'de>>(&mut self, seed: S) -> Result<S::Value, Misread> {
        match self.value.take() {
            Some(node) => seed.deserialize(self.at.inner(node)).map_err(|misread| misread.at(node)),
            None => seed
                .deserialize(StandIn)
                .map_err(|misread| Misread { is_own: true, ..misread }.at(self.at.node)),
        }
    }
}

/// A word of a vocabulary, perhaps with something in brackets.
struct Variant<'t> {
    at: At<'t>,
    word: &'t str,
}

impl<'de> de::EnumAccess<'de> for Variant<'_> {
    type Error = Misread;
    type Variant = Self;

    fn variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<(S::Value, Self), Misread> {
        let word = seed.deserialize(self.word.into_deserializer())?;
        Ok((word, self))
    }
}

impl<'de> de::VariantAccess<'de> for Variant<'_> {
    type Error = Misread;

    fn unit_variant(self) -> Result<(), Misread> {
        match &self.at.node.kind {
            Kind::Word(_) => Ok(()),
            _ => Err(Misread::of(Mistake::Said(format!(
                "`{0}` has no brackets; write `{0}` alone",
                self.word
            )))),
        }
    }

    fn newtype_variant_seed<S: DeserializeSeed<'de>>(self, seed: S) -> Result<S::Value, Misread> {
        match &self.at.node.kind {
            Kind::Items { items, .. } if items.len() == 1 => {
                seed.deserialize(self.at.inner(&items[0])).map_err(|misread| misread.at(&items[0]))
            }
            _ => Err(Misread::of(Mistake::Said(format!(
                "`{0}` needs a value in brackets; write `{0}(...)`",
                self.word
            )))),
        }
    }

    fn tuple_variant<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Misread> {
        de::Deserializer::deserialize_tuple(self.at, length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Misread> {
        de::Deserializer::deserialize_struct(self.at, "", fields, visitor)
    }
}
