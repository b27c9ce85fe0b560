//! Values of a table by their kind: numbers, words, switches, lists, tables.

use std::ops::Range;

use toml::de::{DeArray, DeValue};

use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Scalar, Table, Valued, describe};

/// A number as the person wrote it.
fn written<'v>(value: &'v DeValue<'_>) -> &'v str {
    match value {
        DeValue::Integer(number) => number.as_str(),
        DeValue::Float(number) => number.as_str(),
        _ => describe(value),
    }
}

impl<'a> Table<'a> {
    /// A finite number.
    pub(in crate::case) fn number(
        &self,
        key: &'static str,
    ) -> Result<Option<Valued<f64>>, Complaint> {
        let Some((value, span)) = self.get(key) else { return Ok(None) };
        let value = self.finite(key, "be a number", value, &span)?;
        Ok(Some(Valued { value, key, span }))
    }

    fn finite(
        &self,
        key: &str,
        wanted: &str,
        value: &DeValue<'_>,
        span: &Range<usize>,
    ) -> Result<f64, Complaint> {
        let written = match value {
            DeValue::Float(number) => number.as_str(),
            DeValue::Integer(number) if number.radix() == 10 => number.as_str(),
            DeValue::String(_) => {
                let remedy = "write the number alone, without quotes and unit";
                return Err(self.wrong_type(key, span, wanted, value, remedy));
            }
            _ => {
                let remedy = format!("for example `{key} = 1.5`");
                return Err(self.wrong_type(key, span, wanted, value, remedy));
            }
        };
        match written.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(number),
            _ => Err(self.source.complain(
                span,
                key,
                Kind::OutOfRange,
                format!("`{key}` is {written}, which is no finite number"),
                "write an ordinary number",
            )),
        }
    }

    /// A whole number, not negative.
    pub(in crate::case) fn count(
        &self,
        key: &'static str,
    ) -> Result<Option<Valued<usize>>, Complaint> {
        let Some((value, span)) = self.get(key) else { return Ok(None) };
        let number = match value {
            DeValue::Integer(number) if number.radix() == 10 => number.as_str().parse().ok(),
            _ => {
                let remedy = format!("for example `{key} = 10`");
                return Err(self.wrong_type(key, &span, "be a whole number", value, remedy));
            }
        };
        let Some(value) = number else {
            let problem = format!("`{key}` is {}, which is no count", written(value));
            let remedy = format!("for example `{key} = 10`");
            return Err(self.source.complain(&span, key, Kind::OutOfRange, problem, remedy));
        };
        Ok(Some(Valued { value, key, span }))
    }

    /// Text.
    pub(in crate::case) fn text(
        &self,
        key: &'static str,
    ) -> Result<Option<Valued<&'a str>>, Complaint> {
        match self.get(key) {
            None => Ok(None),
            Some((DeValue::String(text), span)) => {
                Ok(Some(Valued { value: text.as_ref(), key, span }))
            }
            Some((other, span)) => {
                let remedy = "put it in double quotes";
                Err(self.wrong_type(key, &span, "be text", other, remedy))
            }
        }
    }

    /// `true` or `false`.
    pub(in crate::case) fn switch(
        &self,
        key: &'static str,
    ) -> Result<Option<Valued<bool>>, Complaint> {
        match self.get(key) {
            None => Ok(None),
            Some((DeValue::Boolean(value), span)) => Ok(Some(Valued { value: *value, key, span })),
            Some((other, span)) => {
                let remedy = "write true or false, without quotes";
                Err(self.wrong_type(key, &span, "be true or false", other, remedy))
            }
        }
    }

    /// A list of texts, each with its own place.
    pub(in crate::case) fn texts(
        &self,
        key: &'static str,
        example: &str,
    ) -> Result<Option<Vec<Valued<&'a str>>>, Complaint> {
        let Some((list, _)) = self.list(key, example)? else { return Ok(None) };
        let text = |entry: &'a toml::Spanned<DeValue<'a>>| match entry.get_ref() {
            DeValue::String(text) => Ok(Valued { value: text.as_ref(), key, span: entry.span() }),
            other => Err(self.wrong_type(key, &entry.span(), "be a list of texts", other, example)),
        };
        list.iter().map(text).collect::<Result<_, _>>().map(Some)
    }

    /// A list of finite numbers of any length.
    pub(in crate::case) fn numbers(
        &self,
        key: &'static str,
    ) -> Result<Option<Valued<Vec<f64>>>, Complaint> {
        let example = format!("for example `{key} = [0, 90]`");
        let Some((list, span)) = self.list(key, &example)? else { return Ok(None) };
        let value = list
            .iter()
            .map(|entry| self.finite(key, "hold numbers", entry.get_ref(), &entry.span()))
            .collect::<Result<_, _>>()?;
        Ok(Some(Valued { value, key, span }))
    }

    /// A pair of finite numbers.
    pub(in crate::case) fn pair(
        &self,
        key: &'static str,
    ) -> Result<Option<Valued<[f64; 2]>>, Complaint> {
        let Some(Valued { value, key, span }) = self.numbers(key)? else { return Ok(None) };
        match <[f64; 2]>::try_from(value) {
            Ok(value) => Ok(Some(Valued { value, key, span })),
            Err(list) => {
                let problem = format!("`{key}` must hold two numbers, not {}", list.len());
                let remedy = format!("write `{key} = [x, y]`");
                Err(self.source.complain(&span, key, Kind::WrongType, problem, remedy))
            }
        }
    }

    /// A list of pairs of finite numbers, each with its own place.
    pub(in crate::case) fn pairs(
        &self,
        key: &'static str,
        example: &str,
    ) -> Result<Option<Vec<Valued<[f64; 2]>>>, Complaint> {
        let Some((list, _)) = self.list(key, example)? else { return Ok(None) };
        let mut pairs = Vec::with_capacity(list.len());
        for entry in list {
            let span = entry.span();
            let DeValue::Array(inner) = entry.get_ref() else {
                let wanted = "be a list of pairs of numbers";
                return Err(self.wrong_type(key, &span, wanted, entry.get_ref(), example));
            };
            let numbers: Vec<f64> = inner
                .iter()
                .map(|number| self.finite(key, "hold numbers", number.get_ref(), &number.span()))
                .collect::<Result<_, _>>()?;
            let Ok(value) = <[f64; 2]>::try_from(numbers.as_slice()) else {
                let problem =
                    format!("a point of `{key}` must hold two numbers, not {}", numbers.len());
                return Err(self.source.complain(&span, key, Kind::WrongType, problem, example));
            };
            pairs.push(Valued { value, key, span });
        }
        Ok(Some(pairs))
    }

    /// A number, a text or a switch.
    pub(in crate::case) fn scalar(
        &self,
        key: &'static str,
    ) -> Result<Option<Valued<Scalar>>, Complaint> {
        let Some((value, span)) = self.get(key) else { return Ok(None) };
        let value = self.one_scalar(key, value, &span)?;
        Ok(Some(Valued { value, key, span }))
    }

    /// A list of numbers, texts or switches, each with its own place.
    pub(in crate::case) fn scalars(
        &self,
        key: &'static str,
    ) -> Result<Option<Vec<Valued<Scalar>>>, Complaint> {
        let example = format!("for example `{key} = [1.0, 2.0]`");
        let Some((list, _)) = self.list(key, &example)? else { return Ok(None) };
        let one = |entry: &'a toml::Spanned<DeValue<'a>>| {
            let value = self.one_scalar(key, entry.get_ref(), &entry.span())?;
            Ok(Valued { value, key, span: entry.span() })
        };
        list.iter().map(one).collect::<Result<_, _>>().map(Some)
    }

    fn one_scalar(
        &self,
        key: &str,
        value: &DeValue<'_>,
        span: &Range<usize>,
    ) -> Result<Scalar, Complaint> {
        match value {
            DeValue::String(text) => Ok(Scalar::Text(text.as_ref().to_owned())),
            DeValue::Boolean(switch) => Ok(Scalar::Switch(*switch)),
            DeValue::Integer(_) | DeValue::Float(_) => {
                self.finite(key, "be a number", value, span).map(Scalar::Number)
            }
            other => {
                let remedy = "write numbers, texts in quotes, or true and false";
                Err(self.wrong_type(key, span, "be a single value", other, remedy))
            }
        }
    }

    fn list(
        &self,
        key: &'static str,
        example: &str,
    ) -> Result<Option<(&'a DeArray<'a>, Range<usize>)>, Complaint> {
        match self.get(key) {
            None => Ok(None),
            Some((DeValue::Array(list), span)) => Ok(Some((list, span))),
            Some((other, span)) => Err(self.wrong_type(key, &span, "be a list", other, example)),
        }
    }

    /// A table inside this one, called `name` in messages.
    pub(in crate::case) fn table(
        &self,
        key: &'static str,
        name: &str,
        remedy: &str,
    ) -> Result<Option<Self>, Complaint> {
        match self.get(key) {
            None => Ok(None),
            Some((DeValue::Table(entries), span)) => {
                Ok(Some(Self { source: self.source, name: name.to_owned(), span, entries }))
            }
            Some((other, _)) => {
                Err(self.wrong_type(key, &self.key_span(key), "be a table", other, remedy))
            }
        }
    }

    /// A list of tables, each called by `name` and its number.
    pub(in crate::case) fn tables(
        &self,
        key: &'static str,
        name: &str,
        remedy: &str,
    ) -> Result<Vec<Self>, Complaint> {
        let list = match self.get(key) {
            None => return Ok(vec![]),
            Some((DeValue::Array(list), _)) => list,
            Some((other, span)) => {
                let span = if other.is_table() { span } else { self.key_span(key) };
                return Err(self.wrong_type(key, &span, "be a list of tables", other, remedy));
            }
        };
        let mut tables = Vec::with_capacity(list.len());
        for (index, entry) in list.iter().enumerate() {
            let span = entry.span();
            let DeValue::Table(entries) = entry.get_ref() else {
                let wanted = "be a list of tables";
                return Err(self.wrong_type(key, &span, wanted, entry.get_ref(), remedy));
            };
            let name = format!("{name} {}", index + 1);
            tables.push(Self { source: self.source, name, span, entries });
        }
        Ok(tables)
    }
}
