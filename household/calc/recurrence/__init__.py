"""How chores come round: RFC 5545 rules, "after it was last done", and the windows of tasks.

Pure: no Django, no clock, no database. Days are dates; moments are naive local wall time until
`zone.attach` gives them their zone.

    errors    RuleError, the only error a rule or a repeat raises
    rules     a rule's text read, checked and written: parse, Rule.text, normalise
    expand    the periods of a rule, one at a time, from any day on
    dates     the days (and moments) of a rule: between, upcoming, next_on_or_after, moments
    zone      local wall time to a moment; the household's today
    repeat    a chore's whole rhythm and its due windows: Repeat, Due, due_next, due_between
    controls  what plain controls on a form can set, to and from a rule
    words     a repeat as a plain sentence

Source of the rules: RFC 5545 (IETF 2009), sections 3.3.5, 3.3.10 and 3.8.5.3.
"""
