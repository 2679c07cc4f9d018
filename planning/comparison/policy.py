"""From how much evidence on something is said of a studio. Each bound with its reason; they are
judgements of ours, no published source, except where one is named.
"""

# Nobody under five children: a figure about fewer is a figure about somebody.
LEAST_CELL = 5
# Fewer evenings are a few weeks' weather: half of a term of twelve.
LEAST_LESSONS = 6
# With less, half as much as what was seen may be missing, and what is missing is no accident.
LEAST_LOGGED = 2 / 3
# The spread between children, against which a studio is seen, takes a few of them to be known.
LEAST_CHILDREN = 6
# A share of clean out of a hundred is known to about ten points either way.
LEAST_TRIES = 100
# A difference in how strictly things are logged that is smaller changes no sentence.
LEAST_DIFFERENCE = 0.05
# Of five hundred figures one is outside by chance alone, the outer limit of a funnel
# (Spiegelhalter 2005): among thirty studios hardly one is spoken of for nothing.
CHANCE = 0.998
# More than fits on a page that is read.
MOST_SKILLS = 12
# Half a year between the mean ages of two groups is worth a word.
LEAST_YEARS = 0.5
ONE_HAND = 0.9  # "nearly all by one person"
