"""
The sentences of what the handbook refuses or notes, by kind: what is wrong, what to do.

{0} is the preserve, except where a kind is about the kitchen, a crop, a canner or a line of the plan.
"""

from __future__ import annotations

_SOURCE = "Type where the directions come from under Source, or choose a handbook line."
_MINUTES = "Type the minutes of its own directions under Minutes, or choose a handbook line."
_ACID = "Add at least {1} for each container."
_STRENGTH = "does not count, because its strength is unknown"
_NAME_THE_ACID = "If it is bottled lemon or lime juice, or vinegar of at least 5%, type that under Handbook item."
_LOW_ACID = "Low-acid food is never canned in boiling water."
_LOW_ACID_CURE = "Follow a handbook line that includes it, pressure can it by one, or freeze it."
_LEAVE_OUT = "Leave it out, follow a handbook line that includes it, or freeze it."
_CANNER = "Put a {1} last under Equipment; its Kind must be {1}."
_FRESH = "Use it fresh, and put no under May be from frozen."
_ASK = "Ask your extension service or food authority about it before you make it."
_CHECK = "Check it in {1} before you use it."
_ENOUGH_MINUTES = "Type {3} or more under Minutes."

TEXTS: dict[str, tuple[str, str]] = {
    # the kitchen and the canner
    "altitude missing": (
        "The altitude is blank, so nothing can be canned.",
        "Type it in Kitchen, for example {0}. A map or a phone shows it.",
    ),
    "altitude above table": (
        "The kitchen is at {0}, and the process tables end at {1}.",
        "Check the altitude. Above the tables, freeze or dry instead, and put no under Include for what is canned.",
    ),
    "altitude above table: dial gauge": (
        "The kitchen is at {0}, and the tables for a dial gauge end at {1}.",
        "Use a weighted gauge, or freeze or dry instead.",
    ),
    "altitude above table: line": ("{0}: the table of {1} ends below this altitude.", "Freeze or dry it instead."),
    "gauge missing": (
        "The gauge of the pressure canner is blank, so nothing can be pressure canned.",
        "Type dial or weighted next to gauge in Kitchen.",
    ),
    "not a canner": ("{0} takes a {1}, but the Kind of {2} is {3}.", _CANNER),
    "not a canner: kind blank": ("{0} takes a {1}, but the Kind of {2} is blank.", _CANNER),
    "not a canner: no equipment": ("{0} takes a {1}, but no equipment is listed.", _CANNER),
    "not a canner: too small": (
        "{0}: no row of Equipment shows that {1} holds {2} quart jars, so it does not count as a pressure canner.",
        "Add a row for it in Equipment with the number of quart jars it holds, or use a larger canner.",
    ),
    "cools too fast": (
        "{0} cools in {1} minutes, but the shortest published time is {2} minutes. The plan uses {2} minutes.",
        "Type its time under Cool-down min. Let the pressure fall by itself; never force a canner to cool.",
    ),
    # names of food
    "name not listed": (
        "What is {0}? The handbook has no food called {1}.",
        "Type its food under {field}{2}.",
    ),
    "name of several foods": ("{0} may be {1}.", "Type which it is under {field}."),
    "name of no canned food": (
        "No published canning line includes {0} ({1}: {2}).",
        "Leave it out, or if it is something else, type what under {field}, and rename it.",
    ),
    "name of another food": (
        "The {field} of {0} is {1}, but its name says {2}.",
        "Correct whichever is wrong. Nothing is canned by a name that says two things.",
    ),
    "typed food not listed": (
        "The {field} of {0} is {1}, which is no single food of the handbook.",
        "Type one of its foods, such as {2}.",
    ),
    "form not published": (
        "{0}: {1} is {2}, and no time is published for that by {3}.",
        "Use it in a published form, or freeze it.",
    ),
    "preserve named otherwise": (
        "The name of {0} says {2}, which its handbook line does not include.",
        "Choose its line under Handbook line, or rename it.",
    ),
    # the method and the line
    "method unknown": ("{0}: {1} is not a method.", "Choose one of: {2}."),
    "handbook line unknown": (
        "{0}: the handbook has no line {1}.",
        "Type a line from `stillroom handbook`, or leave it blank for your own recipe.",
    ),
    "method not published": (
        "{0}: the line {1} is for {2}, not {3}.",
        "Put {2} under Method, or choose another line.",
    ),
    "method not published: no pressure": (
        "{0}: no pressure is published for these foods in a pressure canner.",
        "Can it in boiling water, or follow a handbook line.",
    ),
    "method not published: unknown food": (
        "{0} contains {1}, which the handbook does not list. It counts as low-acid, without a published time in a {2}.",
        _LEAVE_OUT,
    ),
    "method not published: low-acid food": (
        "{0} contains {1}, which counts as {3}, a low-acid food. It has no published time in a {2}.",
        _LEAVE_OUT,
    ),
    "unsealed on the shelf": (
        "{0}: {1} food in a closed container is not safe on a shelf or in a cellar.",
        "Put refrigerator or freezer under Kept in, or can or dry it.",
    ),
    "unsealed on the shelf: frozen": ("{0}: frozen food is kept in the freezer.", "Put freezer under Kept in."),
    "unsealed on the shelf: dried": (
        "{0}: no published drying time covers it, so it is not safe on a shelf or in a cellar.",
        "Name the handbook line it follows, or keep it in the freezer.",
    ),
    # the jar
    "jar not published": ("{0}: no time is published for {1} in a jar of {2}.", "Use one of: {3}."),
    "jar not published: own recipe": ("{0}: no time is published for these foods in a {1}.", "Use one of: {2}."),
    "jar not published: no common size": (
        "{0}: no jar size is published for all of these foods, so not for a {1}.",
        "Leave out a food, follow a handbook line, or freeze it.",
    ),
    "jar not published: other size": (
        "{0}: {1} counts as a {2} jar, but the line {3} is for the {4} jar.",
        "Put {5} under Handbook line, or choose a {4} jar.",
    ),
    "jar not published: not a jar": (
        "{0}: {1} is not a jar. Food is canned in glass jars only.",
        "Choose a jar; its Kind must be jar.",
    ),
    "jar not published: not a volume": (
        "{0}: the size of {1} is not a volume, and process times go by volume.",
        "Type its size in fl oz, pints, quarts or liters in Holds and Unit of Containers.",
    ),
    "jar not published: smaller than its name": (
        "{0}: the size of {1} is {2}, less than its name gives.",
        "Correct Holds in Containers, or the name.",
    ),
    "jar not published: mayonnaise jar": ("{0}: {1} can break in a pressure canner.", "Use a canning jar."),
    "liter jar as quart": (
        "{0}: {1} holds a liter, so it takes the time of a quart, and acid for its full volume.",
        "",
    ),
    "next larger jar": ("{0}: {1} takes the time of the next larger jar, a {2}.", ""),
    # acid
    "low-acid not pressure canned": ("{0} contains {1}, a low-acid food. " + _LOW_ACID, _LOW_ACID_CURE),
    "low-acid not pressure canned: unknown food": (
        "{0} contains {1}, which the handbook does not list, so it counts as low-acid. " + _LOW_ACID,
        _LOW_ACID_CURE,
    ),
    "low-acid not pressure canned: not fermented": (
        "{0} contains {1} that is not fermented yet, and raw cabbage is low-acid.",
        "Use fermented sauerkraut as its ingredient: another preserve with fermented under Method.",
    ),
    "acid missing": ("{0} contains tomatoes and no acid. Tomatoes require acid in either canner.", _ACID),
    "acid missing: strength unknown": (
        "{0} contains tomatoes, and the acid of {2} " + _STRENGTH + ".",
        _NAME_THE_ACID + " Otherwise add at least {1} for each container.",
    ),
    "acid missing: amount unknown": (
        "{0}: the amount of {2} is not in spoons, cups or mL, so its acid cannot be counted.",
        "Type at least {1} for each container.",
    ),
    "acid missing: recipe": (
        "{0} has no {1}, which the published recipe requires ({3}).",
        "Add at least {2} for each container.",
    ),
    "acid missing: recipe, strength unknown": (
        "{0} has no {1}, which the published recipe requires ({3}). The acid of {4} " + _STRENGTH + ".",
        _NAME_THE_ACID + " The least is {2} for each container.",
    ),
    "acid missing: recipe, amount unknown": (
        "{0} has no {1} that can be counted: the amount of {4} is not in spoons, cups or mL ({3}).",
        "Type at least {2} for each container.",
    ),
    "acid missing: recipe, unit unknown": (
        "{0}: the amount of {1} cannot be compared with the published recipe ({3}).",
        "Type it in spoons, cups or mL: at least {2} for each container.",
    ),
    "acid below table": ("{0} has {1} of the published acid.", "Use at least {2} for each container."),
    "acid below table: recipe": (
        "{0} has less {1} than the published recipe ({3}).",
        "Use at least {2} for each container.",
    ),
    # the published recipe
    "salt below table: no salt": (
        "{0} contains {1}, a low-acid food, and no salt for its fermentation.",
        "List the salt of its directions as an ingredient.",
    ),
    "salt below table: amount unknown": (
        "{0}: the amount of {1} cannot be compared with the published recipe ({3}).",
        "Type it in the unit of the recipe: at least {2} for each container.",
    ),
    "salt below table: recipe": (
        "{0} has less {1} than the published recipe ({3}).",
        "Use at least {2} for each container.",
    ),
    "outside the recipe": ("{0} has more {1} than the published recipe ({3}).", "Use at most {2} for each container."),
    "outside the recipe: share unknown": (
        "{0}: the share of {1} cannot be checked.",
        "Type {1} and the other food by weight.",
    ),
    "outside the recipe: sizes unknown": (
        "{0}: the proportions of the published recipe cannot be checked.",
        "Type food by weight, and the size of the jar by volume.",
    ),
    "outside the recipe: ingredient missing": (
        "{0}: the line {1} is made with {2}.",
        "Add {2} to its ingredients, or choose another line.",
    ),
    "outside the recipe: seasoning": (
        "{0}: {1} is more than a seasoning.",
        "Use at most {2}, or {3}, for each container.",
    ),
    "frozen crop not allowed": (
        "{0}: {1} cannot come from the freezer in {2}.",
        _FRESH + " Thawed crop goes into juice, sauce, crushed hot pack and jam only.",
    ),
    "frozen crop not allowed: own recipe": (
        "{0}: {1} cannot come from the freezer in your own canned recipe.",
        _FRESH + " Or follow a handbook line that allows thawed crop.",
    ),
    "advised against": ("{0}: {1} ({2}).", "{3}."),
    "advised against: ingredient": ("{0} with {4}: {1} ({2}).", "{3}."),
    # minutes and months
    "minutes below table": (
        "{0}: Minutes is {1}, but the published least is {2} ({4}).",
        "Type {3} or more under Minutes, or leave it blank to use the published time.",
    ),
    "minutes below table: own recipe": (
        "{0}: Minutes is {1}, but the least is {2}: the longest published for {5} in a {4} jar at this altitude.",
        _ENOUGH_MINUTES,
    ),
    "minutes below table: own fruit": (
        "{0}: Minutes is {1}, but the least is {2}: the longest published for the fruit in a {4} jar at this altitude.",
        _ENOUGH_MINUTES,
    ),
    "more minutes than table": (
        "{0}: Minutes is {1}, and {2} are published. The plan uses the longer time.",
        "",
    ),
    "longer than it keeps": (
        "{0}: Keeps months is {1}, but the published limit is {2} ({4}). The plan uses the limit.",
        "Type {3} or less under Keeps months.",
    ),
    # own recipes, and preserves that differ from their line
    "source missing": ("{0} has no handbook line, so it is your own recipe, and Source is blank.", _SOURCE),
    "source missing: line not followed": (
        "{cause} So it counts as your own recipe, and Source is blank.",
        "Follow the line, or type where your directions come from under Source.",
    ),
    "minutes missing": ("{0} has no handbook line, so it is your own recipe, and Minutes is blank.", _MINUTES),
    "minutes missing: line not followed": (
        "{cause} So it counts as your own recipe, and Minutes is blank.",
        "Follow the line, or type the minutes of your directions under Minutes.",
    ),
    "own recipe": ("{0} is your own recipe ({1}), not from a tested source.", _ASK),
    "own recipe: line not followed": (
        "{cause} So it counts as your own recipe ({1}), not from a tested source.",
        _ASK,
    ),
    "line not followed: other item": ("{0} does not follow the line {1}: {2} is not in it.", ""),
    "line not followed: unknown item": (
        "{0} does not follow the line {1}: the handbook does not list {2}. Type what it is under Handbook food.",
        "",
    ),
    "line not followed: too little": ("{0} does not follow the line {1}: it has too little {2}.", ""),
    "line not followed: too little of its foods": (
        "{0} does not follow the line {1}: it has too little of the foods of that line.",
        "",
    ),
    "line not followed: not a mixture": (
        "{0} does not follow the line {1}, which is for a mixture of several foods.",
        "",
    ),
    "line not followed: too solid": (
        "{0} does not follow the line {1}, which is half liquid; this much food would fill the jar with solids.",
        "",
    ),
    # notes
    "from memory": ("{0}: {2} (not verified).", _CHECK),
    "from memory: line": ("{0}: its handbook line is not verified.", _CHECK),
    "from memory: at least": ("{0}: the least {2} is not verified.", _CHECK),
    "from memory: at most": ("{0}: the most {2} is not verified.", _CHECK),
    "matched to nothing": (
        "The handbook does not list {0}, so it counts as low-acid.",
        "Type what it is under Handbook food.",
    ),
    "matched by name": (
        "The handbook food of {0} is {1}, by its name.",
        "If that is wrong, type another food under Handbook food.",
    ),
    "fixed line refused: not safe": (
        "The plan leaves out the fixed line for {0}. {cause}",
        "Clear Keep at on this line.",
    ),
    "fixed line refused: unreadable preserve": (
        "The plan leaves out the fixed line for {0}: its Method or Container cannot be read.",
        "Correct its row in Preserves, or clear Keep at on this line.",
    ),
}
