//! What is wrong with typed answers: a field and the name of the sentence that says so. Holds no wording.

/// One answer that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// The field's name in the form.
    pub field: String,
    /// The name of the message.
    pub message: &'static str,
}

/// Everything wrong with one step, in the order of the form. A field is told once.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults(Vec<Fault>);

impl Faults {
    /// Notes a fault, unless the field has one already.
    pub fn add(&mut self, field: impl Into<String>, message: &'static str) {
        let field = field.into();
        if self.0.iter().all(|fault| fault.field != field) {
            self.0.push(Fault { field, message });
        }
    }

    /// The value, or nothing with a note of the fault.
    pub fn take<T, E>(
        &mut self,
        field: &str,
        read: Result<T, E>,
        message: impl FnOnce(E) -> &'static str,
    ) -> Option<T> {
        read.map_err(|fault| self.add(field, message(fault))).ok()
    }

    /// The faults in order.
    pub fn list(&self) -> &[Fault] {
        &self.0
    }

    /// Whether every answer can be used.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}
