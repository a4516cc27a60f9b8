"""How long it takes to tell how sure the numbers of a box are."""

from calc.explore.doubt import GRID, VARIANTS, doubt, what_matters
from calc.sound.box_circuit import VentedCircuit
from calc.sound.driver import constants


def test_a_band_of_400_variants_and_what_matters(benchmark):
    driver = constants(36.0, 4.5, 0.4, 0.032, 0.0133, 5.7, 343.2, 1.204, Le=0.00045)
    box = VentedCircuit(driver=driver, c=343.2, rho=1.204, Vb=0.022, fb=40.0, QL=10.0, port_area=0.0038)

    def whole():
        told = doubt(box, {}, {}, 40.0, 3.0, 0.0055)
        return told, what_matters(told)

    told, matters = benchmark(whole)
    assert (VARIANTS, len(GRID)) == (400, 200)
    assert told.band.median.shape == GRID.shape and matters
