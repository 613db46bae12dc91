# Read by CMake through CMAKE_TOOLCHAIN_FILE (see config.toml): PROJ's data live inside the program, and nowhere else; nor does it name the folder it was built in.
set(EMBED_RESOURCE_FILES ON CACHE BOOL "" FORCE)
set(USE_ONLY_EMBEDDED_RESOURCE_FILES ON CACHE BOOL "" FORCE)
set(EMBED_PROJ_DATA_PATH OFF CACHE BOOL "" FORCE)
