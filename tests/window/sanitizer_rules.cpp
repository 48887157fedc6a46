// For the sanitizer builds of the window: graphics drivers keep some memory for the life of the
// process, and stay mapped so that what they keep can be told from our own by name.

extern "C" int dlclose(void*) {
  return 0;
}

extern "C" const char* __lsan_default_suppressions() {
  return "leak:swrast_dri.so\nleak:libLLVM\nleak:libEGL_mesa\nleak:libGLX_mesa\nleak:libX11\n";
}
