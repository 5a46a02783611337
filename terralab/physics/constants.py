"""Constants of nature and of moist air, in SI units, each with its source."""

GRAVITY = 9.80665  # m/s2, standard gravity (CGPM 1901)
ZERO_CELSIUS = 273.15  # K
PRESSURE = 101325.0  # Pa, standard atmosphere
WATER_DENSITY = 1000.0  # kg/m3; 998.2 at 20 C, the difference is far below every other uncertainty here
METRE_KPA = GRAVITY * WATER_DENSITY / 1000.0  # kPa of a metre of water, conventional
WATER_HEAT = 4186.0  # J/kgK, liquid water (ASHRAE Fundamentals ch. 1)
VAPOUR_HEAT = 1860.0  # J/kgK, water vapour (ASHRAE Fundamentals ch. 1, eq. 28: 1.86 kJ/kgK)
AIR_HEAT = 1006.0  # J/kgK, dry air (ASHRAE Fundamentals ch. 1, eq. 28: 1.006 kJ/kgK)
LATENT_ZERO = 2501000.0  # J/kg, evaporation at 0 C (ASHRAE Fundamentals ch. 1, eq. 28: 2501 kJ/kg)
GAS_VAPOUR = 461.524  # J/kgK, gas constant of water vapour (8.314462 / 0.018015268)
GAS_AIR = 287.042  # J/kgK, gas constant of dry air (ASHRAE Fundamentals ch. 1, eq. 1)
MASS_RATIO = 0.621945  # molar mass of water over that of dry air (ASHRAE Fundamentals ch. 1)
LEWIS = 0.85  # Le, thermal over vapour diffusivity of air (Chilton & Colburn 1934 analogy)
LEWIS_FACTOR = LEWIS ** (-2.0 / 3.0)  # 1.1145, from heat to vapour transfer
HUMID_HEAT = AIR_HEAT + 0.013 * VAPOUR_HEAT  # J/K per kg of dry air, at 13 g/kg (22 C, 80 %)
DENSITY_PER_RATIO = 1.14  # kg/m3, change of vapour density with humidity ratio at 22 C, half to fully saturated
AIR_CONDUCTIVITY = 0.0258  # W/mK at 22 C (VDI Heat Atlas, from memory; CoolProp gives 0.0260)
AIR_VISCOSITY = 1.53e-5  # m2/s at 22 C (VDI Heat Atlas, from memory; CoolProp gives the same)
AIR_PRANDTL = 0.71  # - (VDI Heat Atlas, from memory; CoolProp gives 0.708)
STEFAN_BOLTZMANN = 5.670374e-8  # W/m2K4 (CODATA 2018)
