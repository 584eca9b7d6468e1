// Package reading reads what people write about parts: kit lines, sleeves, parts lists, schematics, in many languages.
//
// The one idea: every stretch of a text either says something or is left over. A lexer cuts the text into atoms with
// their positions. Recognisers, each for one thing (an amount with its unit, a word of the lexicon, a size, a count, a
// type number, an order code, colour bands), look at the atoms and give spans: from here to there the text says this, by
// this rule, with this weight. A solver takes, for each class of part that the text may be about, the spans that do not
// overlap and cover the most; the class whose cover weighs most is what the text says, and classes that weigh the same
// are readings side by side. What no span of the best cover holds is left over, exactly.
//
// A reading is sure where there is one, nothing in it is doubted, and nothing is left over that could turn it round.
// Words that turn a text round (not, or, was, replaces, like) are in the lexicon with how far they reach. Part reads a
// whole part, Quantity one kind of quantity; both use the same atoms, recognisers, lexicon and codes.
//
// Not modelled: grammar beyond the neighbour of a word, and words that the lexicon lacks, which are told.
package reading
