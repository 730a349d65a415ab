"""Pure computation: numbers in, figures out.

NumPy and SciPy; no Django, no clock, no files: the day is an argument. Every figure carries its interval, n, span
and what was left out (`estimate`), and with too little data it says what is missing instead of showing a number.

Contents, a file an idea, by chapter of docs/figures.md:

    every chapter     estimate, interval, measures
    laying            hen_days, laying, laying_many, lay_long_run, usual_count, lay_curve, laying_year, lay_fell_off,
                      egg_weight
    hatching          hatching, shipped, clustered_share, eggs_to_set
    growth            growth_curve, growth, stated_growth, dressing, wait_or_process
    sexing            sexing
    true to type      true_to_type, dirichlet_multinomial, recessive, off_type_weight
    selection         selection, realised_heritability
    kinship           pedigree, inbreeding, kinship, effective_number
    breeding values   mixed_model, heritability, breeding_values
    mating            mating, mating_exact, mating_search
    planning          planning, line_forecast, promise
    cost              cost

Which file may import which is a contract in pyproject.toml.
"""
