letter-incident-subject = Se abrió el informe { $case }: { $site }, { $day }
letter-incident-first = Algo ocurrió en { $site } el { $day }. Los instructores abrieron el informe { $case }.
letter-incident-ambulance = Se llamó una ambulancia. Llame al sitio y avise de inmediato a su aseguradora.
letter-incident-plain = Llame al sitio. Su aseguradora debe saberlo a tiempo; el informe dice hasta cuándo.
letter-incident-way = Inicie sesión y abra el informe:
letter-incident-last = Esta carta no nombra a nadie ni dice qué ocurrió. Por favor, no escriba sobre esto por correo electrónico.
