"""From the caliper numbers of a bicycle rim to mechanics: which wall gives first, and why.

    import rimfea
    analysis = rimfea.analyse("curlew")
    print(analysis.governing.verdict.governing.wall)
    rimfea.table(analysis)

Lengths in mm, forces in N, stresses in MPa. Indicative only: the maker's limits, local codes
and licensed practice come first. The names stand in ``__init__.pyi`` and are imported when first
used, so that the command line starts at once.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
